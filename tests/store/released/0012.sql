BEGIN TRANSACTION;
CREATE TABLE account (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	sees TEXT NOT NULL, 
	made TEXT NOT NULL, 
	ended TEXT, 
	"key" TEXT NOT NULL, 
	CONSTRAINT pk_account PRIMARY KEY (id), 
	CONSTRAINT uq_account_key UNIQUE ("key")
)
 STRICT

;
INSERT INTO "account" VALUES('70616d9d-bba3-5ac1-8f69-64d6dcd3317a','account name 0','coach','2026-04-11T10:30:15.123456Z','2026-04-11T10:30:15.123456Z','account key 0');
INSERT INTO "account" VALUES('7effe30c-26c3-5039-a50a-3197a37d1a39','account name 1','programme','2026-04-12T10:30:15.123456Z',NULL,'account key 1');
CREATE TABLE account_camp (
	account TEXT NOT NULL, 
	camp TEXT NOT NULL, 
	CONSTRAINT pk_account_camp PRIMARY KEY (account, camp), 
	CONSTRAINT fk_account_camp_account FOREIGN KEY(account) REFERENCES account (id), 
	CONSTRAINT fk_account_camp_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "account_camp" VALUES('7effe30c-26c3-5039-a50a-3197a37d1a39','22f21b84-b869-5b3a-9a22-406c1768decb');
INSERT INTO "account_camp" VALUES('70616d9d-bba3-5ac1-8f69-64d6dcd3317a','24467214-c768-5af4-a8a1-cad0f2bc4628');
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0012');
CREATE TABLE athlete (
	id TEXT NOT NULL, 
	invented INTEGER NOT NULL, 
	CONSTRAINT pk_athlete PRIMARY KEY (id)
)
 STRICT

;
INSERT INTO "athlete" VALUES('4228606e-bc9c-59bf-ac0d-70f0b27ae3d2',0);
INSERT INTO "athlete" VALUES('4edb36cd-ee24-5f7e-ba92-48e8908b7596',1);
CREATE TABLE athlete_name (
	seq INTEGER NOT NULL, 
	athlete TEXT NOT NULL, 
	given TEXT NOT NULL, 
	family TEXT NOT NULL, 
	since TEXT, 
	CONSTRAINT pk_athlete_name PRIMARY KEY (seq), 
	CONSTRAINT fk_athlete_name_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 STRICT

;
INSERT INTO "athlete_name" VALUES(1,'4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','Žófie ''O’N'' "q" 🤸','athlete_name family 0','2026-04-11');
INSERT INTO "athlete_name" VALUES(2,'4edb36cd-ee24-5f7e-ba92-48e8908b7596','Žófie ''O’N'' "q" 🤸','athlete_name family 1',NULL);
CREATE TABLE attempt (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	camp TEXT NOT NULL, 
	athlete TEXT NOT NULL, 
	rung TEXT NOT NULL, 
	outcome TEXT NOT NULL, 
	at TEXT NOT NULL, 
	rater TEXT NOT NULL, 
	edition TEXT NOT NULL, 
	help INTEGER, 
	take_off TEXT, 
	landing TEXT, 
	rotation TEXT, 
	marks TEXT NOT NULL, 
	note TEXT NOT NULL, 
	device TEXT NOT NULL, 
	source TEXT NOT NULL, 
	replaces TEXT, 
	digest TEXT NOT NULL, turn INTEGER, second INTEGER, 
	CONSTRAINT pk_attempt PRIMARY KEY (seq), 
	CONSTRAINT uq_attempt_id UNIQUE (id), 
	CONSTRAINT fk_attempt_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT fk_attempt_athlete FOREIGN KEY(athlete) REFERENCES athlete (id), 
	CONSTRAINT fk_attempt_replaces FOREIGN KEY(replaces) REFERENCES attempt (id) DEFERRABLE INITIALLY DEFERRED
)
 STRICT

;
INSERT INTO "attempt" VALUES(1,'e2fff1c3-dd14-56a2-8232-a1e9715fd9a7','24467214-c768-5af4-a8a1-cad0f2bc4628','4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','attempt rung 0','did_it','2026-04-11T10:30:15.123456Z','attempt rater 0','attempt edition 0',10,'trampoline','loose_pit','short','{"lift": 2}','=cmd(); ליאור;
second line','attempt device 0','attempt source 0',NULL,'attempt digest 0',3,0);
INSERT INTO "attempt" VALUES(2,'9ebfb582-cf75-5cdd-87f0-96dca8a4a149','22f21b84-b869-5b3a-9a22-406c1768decb','4edb36cd-ee24-5f7e-ba92-48e8908b7596','attempt rung 1','tried','2026-04-12T10:30:15.123456Z','attempt rater 1','attempt edition 1',NULL,NULL,NULL,NULL,'{"lift": 2}','=cmd(); ליאור;
second line','attempt device 1','attempt source 1',NULL,'attempt digest 1',NULL,NULL);
CREATE TABLE bed_line (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	camp TEXT NOT NULL, 
	station TEXT NOT NULL, 
	clip TEXT, 
	x1 REAL NOT NULL, 
	y1 REAL NOT NULL, 
	x2 REAL NOT NULL, 
	y2 REAL NOT NULL, 
	width INTEGER NOT NULL, 
	height INTEGER NOT NULL, 
	"by" TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_bed_line PRIMARY KEY (seq), 
	CONSTRAINT uq_bed_line_id UNIQUE (id), 
	CONSTRAINT fk_bed_line_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT fk_bed_line_clip FOREIGN KEY(clip) REFERENCES clip (id)
)
 STRICT

;
INSERT INTO "bed_line" VALUES(1,'37e4205f-44d6-5971-9c7e-f8d831e188ea','24467214-c768-5af4-a8a1-cad0f2bc4628','bed_line station 0','9f850c8b-3c11-52d0-a9ce-3b1229d264e7',0.25,0.25,0.25,0.25,3,3,'bed_line by 0','2026-04-11T10:30:15.123456Z');
INSERT INTO "bed_line" VALUES(2,'e2ae4185-bb50-5ec8-8337-4ba71734ddfc','22f21b84-b869-5b3a-9a22-406c1768decb','bed_line station 1',NULL,1.25,1.25,1.25,1.25,4,4,'bed_line by 1','2026-04-12T10:30:15.123456Z');
CREATE TABLE behind (
	athlete TEXT NOT NULL, 
	camp TEXT NOT NULL, 
	CONSTRAINT pk_behind PRIMARY KEY (athlete, camp), 
	CONSTRAINT fk_behind_athlete FOREIGN KEY(athlete) REFERENCES athlete (id), 
	CONSTRAINT fk_behind_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "behind" VALUES('4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','24467214-c768-5af4-a8a1-cad0f2bc4628');
INSERT INTO "behind" VALUES('4edb36cd-ee24-5f7e-ba92-48e8908b7596','22f21b84-b869-5b3a-9a22-406c1768decb');
CREATE TABLE birth (
	seq INTEGER NOT NULL, 
	athlete TEXT NOT NULL, 
	born TEXT NOT NULL, 
	CONSTRAINT pk_birth PRIMARY KEY (seq), 
	CONSTRAINT fk_birth_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 STRICT

;
INSERT INTO "birth" VALUES(1,'4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','2026-04-11');
INSERT INTO "birth" VALUES(2,'4edb36cd-ee24-5f7e-ba92-48e8908b7596','2026-04-12');
CREATE TABLE book (
	number INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	CONSTRAINT pk_book PRIMARY KEY (number), 
	CONSTRAINT ck_book_one_row CHECK (number = 1)
)
 STRICT

;
INSERT INTO "book" VALUES(1,'9830f495-30b6-5df3-af8f-d511f0542005',3);
CREATE TABLE camp (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	starts TEXT NOT NULL, 
	ends TEXT NOT NULL, 
	edition TEXT NOT NULL, 
	place TEXT NOT NULL, 
	bed TEXT NOT NULL, 
	take_off TEXT NOT NULL, 
	landing TEXT NOT NULL, 
	raters TEXT NOT NULL, 
	invented INTEGER NOT NULL, 
	recorded TEXT, surfaces_assumed INTEGER, 
	CONSTRAINT pk_camp PRIMARY KEY (id), 
	CONSTRAINT ck_camp_starts_first CHECK (starts <= ends)
)
 STRICT

;
INSERT INTO "camp" VALUES('24467214-c768-5af4-a8a1-cad0f2bc4628','camp name 0','2026-04-11','2026-04-11','camp edition 0','camp place 0','camp bed 0','camp take_off 0','camp landing 0','["H. Alder", "Ö. Coach"]',0,'2026-04-11T10:30:15.123456Z',0);
INSERT INTO "camp" VALUES('22f21b84-b869-5b3a-9a22-406c1768decb','camp name 1','2026-04-12','2026-04-12','camp edition 1','camp place 1','camp bed 1','camp take_off 1','camp landing 1','["H. Alder", "Ö. Coach"]',1,NULL,NULL);
CREATE TABLE camp_athlete (
	camp TEXT NOT NULL, 
	athlete TEXT NOT NULL, 
	bib TEXT NOT NULL, 
	CONSTRAINT pk_camp_athlete PRIMARY KEY (camp, athlete), 
	CONSTRAINT fk_camp_athlete_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT fk_camp_athlete_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "camp_athlete" VALUES('22f21b84-b869-5b3a-9a22-406c1768decb','4edb36cd-ee24-5f7e-ba92-48e8908b7596','camp_athlete bib 1');
INSERT INTO "camp_athlete" VALUES('24467214-c768-5af4-a8a1-cad0f2bc4628','4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','camp_athlete bib 0');
CREATE TABLE camp_before (
	seq INTEGER NOT NULL, 
	camp TEXT NOT NULL, 
	was TEXT NOT NULL, 
	until TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	CONSTRAINT pk_camp_before PRIMARY KEY (seq), 
	CONSTRAINT fk_camp_before_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 STRICT

;
INSERT INTO "camp_before" VALUES(1,'24467214-c768-5af4-a8a1-cad0f2bc4628','{"said": "Šimić", "n": 1.5}','2026-04-11T10:30:15.123456Z','camp_before by 0');
INSERT INTO "camp_before" VALUES(2,'22f21b84-b869-5b3a-9a22-406c1768decb','{"said": "Šimić", "n": 1.5}','2026-04-12T10:30:15.123456Z','camp_before by 1');
CREATE TABLE camp_last (
	camp TEXT NOT NULL, 
	rung TEXT NOT NULL, 
	state TEXT NOT NULL, 
	gymnasts INTEGER NOT NULL, 
	CONSTRAINT pk_camp_last PRIMARY KEY (camp, rung, state), 
	CONSTRAINT fk_camp_last_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "camp_last" VALUES('22f21b84-b869-5b3a-9a22-406c1768decb','camp_last rung 1','helped',4);
INSERT INTO "camp_last" VALUES('24467214-c768-5af4-a8a1-cad0f2bc4628','camp_last rung 0','alone',3);
CREATE TABLE camp_pair (
	camp TEXT NOT NULL, 
	rung TEXT NOT NULL, 
	"before" TEXT NOT NULL, 
	alone INTEGER NOT NULL, 
	shown INTEGER NOT NULL, 
	CONSTRAINT pk_camp_pair PRIMARY KEY (camp, rung, "before"), 
	CONSTRAINT fk_camp_pair_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "camp_pair" VALUES('22f21b84-b869-5b3a-9a22-406c1768decb','camp_pair rung 1','helped',4,4);
INSERT INTO "camp_pair" VALUES('24467214-c768-5af4-a8a1-cad0f2bc4628','camp_pair rung 0','alone',3,3);
CREATE TABLE camp_plan (
	camp TEXT NOT NULL, 
	"plan" TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_camp_plan PRIMARY KEY (camp), 
	CONSTRAINT fk_camp_plan_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 STRICT

;
INSERT INTO "camp_plan" VALUES('24467214-c768-5af4-a8a1-cad0f2bc4628','{"said": "Šimić", "n": 1.5}','2026-04-11T10:30:15.123456Z');
INSERT INTO "camp_plan" VALUES('22f21b84-b869-5b3a-9a22-406c1768decb','{"said": "Šimić", "n": 1.5}','2026-04-12T10:30:15.123456Z');
CREATE TABLE clip (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	attempt TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	name TEXT NOT NULL, 
	size INTEGER NOT NULL, 
	attached TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	station TEXT NOT NULL, 
	consent TEXT, 
	consent_words TEXT NOT NULL, 
	keep_until TEXT NOT NULL, 
	made TEXT, 
	invented INTEGER NOT NULL, 
	CONSTRAINT pk_clip PRIMARY KEY (seq), 
	CONSTRAINT uq_clip_id UNIQUE (id), 
	CONSTRAINT fk_clip_attempt FOREIGN KEY(attempt) REFERENCES attempt (id), 
	CONSTRAINT fk_clip_consent FOREIGN KEY(consent) REFERENCES consent (id)
)
 STRICT

;
INSERT INTO "clip" VALUES(1,'9f850c8b-3c11-52d0-a9ce-3b1229d264e7','e2fff1c3-dd14-56a2-8232-a1e9715fd9a7','clip digest 0','clip name 0',3,'2026-04-11T10:30:15.123456Z','clip by 0','clip station 0','4ce51bec-c219-514c-8965-b771beb34370','clip consent_words 0','2026-04-11','2026-04-11T10:30:15.123456Z',0);
INSERT INTO "clip" VALUES(2,'f51a919a-4794-58cf-a975-120daf654e9b','9ebfb582-cf75-5cdd-87f0-96dca8a4a149','clip digest 1','clip name 1',4,'2026-04-12T10:30:15.123456Z','clip by 1','clip station 1',NULL,'clip consent_words 1','2026-04-12',NULL,1);
CREATE TABLE clip_gone (
	seq INTEGER NOT NULL, 
	clip TEXT NOT NULL, 
	attempt TEXT NOT NULL, 
	at TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	why TEXT NOT NULL, 
	CONSTRAINT pk_clip_gone PRIMARY KEY (seq), 
	CONSTRAINT fk_clip_gone_attempt FOREIGN KEY(attempt) REFERENCES attempt (id)
)
 STRICT

;
INSERT INTO "clip_gone" VALUES(1,'1e2a8dd0-bfa7-58d2-86b9-f514acdc8517','e2fff1c3-dd14-56a2-8232-a1e9715fd9a7','2026-04-11T10:30:15.123456Z','clip_gone by 0','clip_gone why 0');
INSERT INTO "clip_gone" VALUES(2,'6f394f1c-f520-574a-89d8-5a0a0d2e30bb','9ebfb582-cf75-5cdd-87f0-96dca8a4a149','2026-04-12T10:30:15.123456Z','clip_gone by 1','clip_gone why 1');
CREATE TABLE clip_point (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	clip TEXT NOT NULL, 
	frame INTEGER NOT NULL, 
	joint TEXT NOT NULL, 
	x REAL, 
	y REAL, 
	"by" TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_clip_point PRIMARY KEY (seq), 
	CONSTRAINT uq_clip_point_id UNIQUE (id), 
	CONSTRAINT fk_clip_point_clip FOREIGN KEY(clip) REFERENCES clip (id)
)
 STRICT

;
INSERT INTO "clip_point" VALUES(1,'e10e3143-ffb1-51f3-8566-721c3df25c7e','9f850c8b-3c11-52d0-a9ce-3b1229d264e7',3,'clip_point joint 0',0.25,0.25,'clip_point by 0','2026-04-11T10:30:15.123456Z');
INSERT INTO "clip_point" VALUES(2,'db4971b8-30aa-5d38-b46b-3b526e5f1bf2','f51a919a-4794-58cf-a975-120daf654e9b',4,'clip_point joint 1',NULL,NULL,'clip_point by 1','2026-04-12T10:30:15.123456Z');
CREATE TABLE clip_said (
	seq INTEGER NOT NULL, 
	clip TEXT NOT NULL, 
	what TEXT NOT NULL, 
	value TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_clip_said PRIMARY KEY (seq), 
	CONSTRAINT fk_clip_said_clip FOREIGN KEY(clip) REFERENCES clip (id)
)
 STRICT

;
INSERT INTO "clip_said" VALUES(1,'9f850c8b-3c11-52d0-a9ce-3b1229d264e7','clip_said what 0','{"said": "Šimić", "n": 1.5}','clip_said by 0','2026-04-11T10:30:15.123456Z');
INSERT INTO "clip_said" VALUES(2,'f51a919a-4794-58cf-a975-120daf654e9b','clip_said what 1','{"said": "Šimić", "n": 1.5}','clip_said by 1','2026-04-12T10:30:15.123456Z');
CREATE TABLE club_stay (
	seq INTEGER NOT NULL, 
	athlete TEXT NOT NULL, 
	club TEXT NOT NULL, 
	coach_name TEXT NOT NULL, 
	coach_email TEXT NOT NULL, 
	since TEXT, 
	CONSTRAINT pk_club_stay PRIMARY KEY (seq), 
	CONSTRAINT fk_club_stay_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 STRICT

;
INSERT INTO "club_stay" VALUES(1,'4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','club_stay club 0','club_stay coach_name 0','club_stay coach_email 0','2026-04-11');
INSERT INTO "club_stay" VALUES(2,'4edb36cd-ee24-5f7e-ba92-48e8908b7596','club_stay club 1','club_stay coach_name 1','club_stay coach_email 1',NULL);
CREATE TABLE consent (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	athlete TEXT NOT NULL, 
	purpose TEXT NOT NULL, 
	allowed INTEGER NOT NULL, 
	"on" TEXT NOT NULL, 
	until TEXT, 
	said_by TEXT NOT NULL, 
	recorded_by TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_consent PRIMARY KEY (seq), 
	CONSTRAINT uq_consent_id UNIQUE (id), 
	CONSTRAINT fk_consent_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 STRICT

;
INSERT INTO "consent" VALUES(1,'4ce51bec-c219-514c-8965-b771beb34370','4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','filming',0,'2026-04-11','2026-04-11','consent said_by 0','consent recorded_by 0','2026-04-11T10:30:15.123456Z');
INSERT INTO "consent" VALUES(2,'023f433e-b6b4-5d15-a888-92e02ee19369','4edb36cd-ee24-5f7e-ba92-48e8908b7596','keeping',1,'2026-04-12',NULL,'consent said_by 1','consent recorded_by 1','2026-04-12T10:30:15.123456Z');
CREATE TABLE count_kept (
	camp TEXT NOT NULL, 
	rung TEXT NOT NULL, 
	state TEXT NOT NULL, 
	children INTEGER NOT NULL, 
	CONSTRAINT pk_count_kept PRIMARY KEY (camp, rung, state), 
	CONSTRAINT fk_count_kept_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "count_kept" VALUES('22f21b84-b869-5b3a-9a22-406c1768decb','count_kept rung 1','helped',4);
INSERT INTO "count_kept" VALUES('24467214-c768-5af4-a8a1-cad0f2bc4628','count_kept rung 0','alone',3);
CREATE TABLE decision (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	athlete TEXT NOT NULL, 
	rung TEXT NOT NULL, 
	decided TEXT NOT NULL, 
	"on" TEXT NOT NULL, 
	review TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	qualified TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	edition TEXT NOT NULL, 
	at TEXT NOT NULL, 
	replaces TEXT, 
	CONSTRAINT pk_decision PRIMARY KEY (seq), 
	CONSTRAINT fk_decision_athlete FOREIGN KEY(athlete) REFERENCES athlete (id), 
	CONSTRAINT uq_decision_id UNIQUE (id)
)
 STRICT

;
INSERT INTO "decision" VALUES(1,'7a7ebdce-9438-5bab-9271-b265bb85887b','4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','decision rung 0','begin','2026-04-11','2026-04-11','decision by 0','decision qualified 0','decision reason 0','decision edition 0','2026-04-11T10:30:15.123456Z','7a7ebdce-9438-5bab-9271-b265bb85887b');
INSERT INTO "decision" VALUES(2,'003fb54d-b9b7-5420-91f5-42d562551e90','4edb36cd-ee24-5f7e-ba92-48e8908b7596','decision rung 1','stay','2026-04-12','2026-04-12','decision by 1','decision qualified 1','decision reason 1','decision edition 1','2026-04-12T10:30:15.123456Z',NULL);
CREATE TABLE device (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	role TEXT NOT NULL, 
	made TEXT NOT NULL, 
	until TEXT NOT NULL, 
	rater TEXT NOT NULL, 
	second INTEGER NOT NULL, 
	camp TEXT, 
	guest INTEGER NOT NULL, 
	revoked TEXT, 
	last_seen TEXT, 
	token TEXT NOT NULL, 
	CONSTRAINT pk_device PRIMARY KEY (id), 
	CONSTRAINT fk_device_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT uq_device_token UNIQUE (token)
)
 STRICT

;
INSERT INTO "device" VALUES('99ff8d78-6a00-56e4-b2d5-a5d864497426','device name 0','head_coach','2026-04-11T10:30:15.123456Z','2026-04-11T10:30:15.123456Z','device rater 0',0,'24467214-c768-5af4-a8a1-cad0f2bc4628',0,'2026-04-11T10:30:15.123456Z','2026-04-11T10:30:15.123456Z','device token 0');
INSERT INTO "device" VALUES('cd5ef25b-618d-5d34-89d6-c0cbbd442ae6','device name 1','entry','2026-04-12T10:30:15.123456Z','2026-04-12T10:30:15.123456Z','device rater 1',1,NULL,1,NULL,NULL,'device token 1');
CREATE TABLE erased (
	seq INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	at TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	told TEXT NOT NULL, 
	CONSTRAINT pk_erased PRIMARY KEY (seq), 
	CONSTRAINT uq_erased_digest UNIQUE (digest)
)
 STRICT

;
INSERT INTO "erased" VALUES(1,'erased digest 0','2026-04-11T10:30:15.123456Z','erased by 0','{"said": "Šimić", "n": 1.5}');
INSERT INTO "erased" VALUES(2,'erased digest 1','2026-04-12T10:30:15.123456Z','erased by 1','{"said": "Šimić", "n": 1.5}');
CREATE TABLE film_consent (
	seq INTEGER NOT NULL, 
	athlete TEXT NOT NULL, 
	allowed INTEGER NOT NULL, 
	"on" TEXT, 
	said_by TEXT NOT NULL, 
	CONSTRAINT pk_film_consent PRIMARY KEY (seq), 
	CONSTRAINT fk_film_consent_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 STRICT

;
INSERT INTO "film_consent" VALUES(1,'4228606e-bc9c-59bf-ac0d-70f0b27ae3d2',0,'2026-04-11','film_consent said_by 0');
INSERT INTO "film_consent" VALUES(2,'4edb36cd-ee24-5f7e-ba92-48e8908b7596',1,NULL,'film_consent said_by 1');
CREATE TABLE film_measured (
	seq INTEGER NOT NULL, 
	clip TEXT NOT NULL, 
	track TEXT, 
	trust TEXT NOT NULL, 
	sentence TEXT NOT NULL, 
	reasons TEXT NOT NULL, 
	recipe TEXT NOT NULL, 
	told TEXT NOT NULL, 
	CONSTRAINT pk_film_measured PRIMARY KEY (seq), 
	CONSTRAINT uq_film_measured_clip UNIQUE (clip), 
	CONSTRAINT fk_film_measured_clip FOREIGN KEY(clip) REFERENCES clip (id), 
	CONSTRAINT fk_film_measured_track FOREIGN KEY(track) REFERENCES track (id)
)
 STRICT

;
INSERT INTO "film_measured" VALUES(1,'9f850c8b-3c11-52d0-a9ce-3b1229d264e7','77d15bf7-47b7-5593-9e34-13bcb0f71ea1','film_measured trust 0','film_measured sentence 0','["one", "two"]','film_measured recipe 0','{"said": "Šimić", "n": 1.5}');
INSERT INTO "film_measured" VALUES(2,'f51a919a-4794-58cf-a975-120daf654e9b',NULL,'film_measured trust 1','film_measured sentence 1','["one", "two"]','film_measured recipe 1','{"said": "Šimić", "n": 1.5}');
CREATE TABLE gone_out (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	what TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	for_whom TEXT NOT NULL, 
	children INTEGER NOT NULL, 
	camp TEXT, 
	file TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	CONSTRAINT pk_gone_out PRIMARY KEY (seq), 
	CONSTRAINT fk_gone_out_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT uq_gone_out_id UNIQUE (id)
)
 STRICT

;
INSERT INTO "gone_out" VALUES(1,'a0b89006-c38c-5021-9c60-80873f0e8966','2026-04-11T10:30:15.123456Z','gone_out what 0','gone_out by 0','gone_out for_whom 0',3,'24467214-c768-5af4-a8a1-cad0f2bc4628','gone_out file 0','gone_out digest 0');
INSERT INTO "gone_out" VALUES(2,'294367b1-45a5-5cba-8bc4-49416963ec7e','2026-04-12T10:30:15.123456Z','gone_out what 1','gone_out by 1','gone_out for_whom 1',4,NULL,'gone_out file 1','gone_out digest 1');
CREATE TABLE gone_out_about (
	gone_out TEXT NOT NULL, 
	athlete TEXT NOT NULL, 
	CONSTRAINT pk_gone_out_about PRIMARY KEY (gone_out, athlete), 
	CONSTRAINT fk_gone_out_about_gone_out FOREIGN KEY(gone_out) REFERENCES gone_out (id), 
	CONSTRAINT fk_gone_out_about_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "gone_out_about" VALUES('a0b89006-c38c-5021-9c60-80873f0e8966','4228606e-bc9c-59bf-ac0d-70f0b27ae3d2');
INSERT INTO "gone_out_about" VALUES('294367b1-45a5-5cba-8bc4-49416963ec7e','4edb36cd-ee24-5f7e-ba92-48e8908b7596');
CREATE TABLE height (
	seq INTEGER NOT NULL, 
	athlete TEXT NOT NULL, 
	metres REAL NOT NULL, 
	"on" TEXT, 
	CONSTRAINT pk_height PRIMARY KEY (seq), 
	CONSTRAINT ck_height_a_persons CHECK (metres > 0.4 AND metres < 2.6), 
	CONSTRAINT fk_height_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 STRICT

;
INSERT INTO "height" VALUES(1,'4228606e-bc9c-59bf-ac0d-70f0b27ae3d2',1.405,'2026-04-11');
INSERT INTO "height" VALUES(2,'4edb36cd-ee24-5f7e-ba92-48e8908b7596',1.405,NULL);
CREATE TABLE home_answer (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	athlete TEXT NOT NULL, 
	camp TEXT NOT NULL, 
	written TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	items TEXT NOT NULL, 
	more TEXT NOT NULL, 
	at TEXT NOT NULL, 
	way TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	CONSTRAINT pk_home_answer PRIMARY KEY (seq), 
	CONSTRAINT fk_home_answer_athlete FOREIGN KEY(athlete) REFERENCES athlete (id), 
	CONSTRAINT fk_home_answer_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT uq_home_answer_id UNIQUE (id), 
	CONSTRAINT uq_home_answer_digest UNIQUE (digest)
)
 STRICT

;
INSERT INTO "home_answer" VALUES(1,'b2eba9b6-795b-543f-bd33-1bddda9c6b5e','4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','24467214-c768-5af4-a8a1-cad0f2bc4628','2026-04-11T10:30:15.123456Z','home_answer by 0','[]','home_answer more 0','2026-04-11T10:30:15.123456Z','home_answer way 0','home_answer digest 0');
INSERT INTO "home_answer" VALUES(2,'cb0f4eba-5b7d-587b-8559-a059fede8945','4edb36cd-ee24-5f7e-ba92-48e8908b7596','22f21b84-b869-5b3a-9a22-406c1768decb','2026-04-12T10:30:15.123456Z','home_answer by 1','[]','home_answer more 1','2026-04-12T10:30:15.123456Z','home_answer way 1','home_answer digest 1');
CREATE TABLE import_file (
	digest TEXT NOT NULL, 
	name TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	at TEXT NOT NULL, 
	report TEXT NOT NULL, 
	CONSTRAINT pk_import_file PRIMARY KEY (digest)
)
 STRICT

;
INSERT INTO "import_file" VALUES('import_file digest 0','import_file name 0','import_file kind 0','2026-04-11T10:30:15.123456Z','{"said": "Šimić", "n": 1.5}');
INSERT INTO "import_file" VALUES('import_file digest 1','import_file name 1','import_file kind 1','2026-04-12T10:30:15.123456Z','{"said": "Šimić", "n": 1.5}');
CREATE TABLE job (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	clip TEXT, 
	args TEXT NOT NULL, 
	state TEXT NOT NULL, 
	tries INTEGER NOT NULL, 
	lease TEXT, 
	worker TEXT NOT NULL, 
	share REAL NOT NULL, 
	says TEXT NOT NULL, 
	cancel INTEGER NOT NULL, 
	put TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	ended TEXT, 
	error TEXT NOT NULL, 
	CONSTRAINT pk_job PRIMARY KEY (seq), 
	CONSTRAINT uq_job_id UNIQUE (id), 
	CONSTRAINT fk_job_clip FOREIGN KEY(clip) REFERENCES clip (id)
)
 STRICT

;
INSERT INTO "job" VALUES(1,'4b7fddb5-d46c-5cb3-8493-c131b4c0191c','job kind 0','9f850c8b-3c11-52d0-a9ce-3b1229d264e7','{"said": "Šimić", "n": 1.5}','waiting',3,'2026-04-11T10:30:15.123456Z','job worker 0',0.25,'job says 0',0,'2026-04-11T10:30:15.123456Z','job by 0','2026-04-11T10:30:15.123456Z','job error 0');
INSERT INTO "job" VALUES(2,'0f2c1870-b3ee-55e2-9973-1ee326f3e5c3','job kind 1',NULL,'{"said": "Šimić", "n": 1.5}','running',4,NULL,'job worker 1',1.25,'job says 1',1,'2026-04-12T10:30:15.123456Z','job by 1',NULL,'job error 1');
CREATE TABLE ladder_text (
	seq INTEGER NOT NULL, 
	edition TEXT NOT NULL, 
	dated TEXT NOT NULL, 
	text TEXT NOT NULL, 
	since TEXT NOT NULL, 
	CONSTRAINT pk_ladder_text PRIMARY KEY (seq)
)
 STRICT

;
INSERT INTO "ladder_text" VALUES(1,'ladder_text edition 0','2026-04-11','ladder_text text 0','2026-04-11T10:30:15.123456Z');
INSERT INTO "ladder_text" VALUES(2,'ladder_text edition 1','2026-04-12','ladder_text text 1','2026-04-12T10:30:15.123456Z');
CREATE TABLE pairing (
	secret TEXT NOT NULL, 
	code TEXT NOT NULL, 
	role TEXT NOT NULL, 
	name TEXT NOT NULL, 
	rater TEXT NOT NULL, 
	second INTEGER NOT NULL, 
	camp TEXT, 
	until TEXT NOT NULL, 
	CONSTRAINT pk_pairing PRIMARY KEY (secret), 
	CONSTRAINT fk_pairing_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT uq_pairing_code UNIQUE (code)
)
 STRICT

;
INSERT INTO "pairing" VALUES('pairing secret 0','pairing code 0','head_coach','pairing name 0','pairing rater 0',0,'24467214-c768-5af4-a8a1-cad0f2bc4628','2026-04-11T10:30:15.123456Z');
INSERT INTO "pairing" VALUES('pairing secret 1','pairing code 1','entry','pairing name 1','pairing rater 1',1,NULL,'2026-04-12T10:30:15.123456Z');
CREATE TABLE pending_import (
	digest TEXT NOT NULL, 
	name TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	at TEXT NOT NULL, 
	data BLOB NOT NULL, 
	options TEXT NOT NULL, 
	answers TEXT NOT NULL, 
	CONSTRAINT pk_pending_import PRIMARY KEY (digest)
)
 STRICT

;
INSERT INTO "pending_import" VALUES('pending_import digest 0','pending_import name 0','pending_import kind 0','2026-04-11T10:30:15.123456Z',X'00FF206E616D653B626F726E0A','{"said": "Šimić", "n": 1.5}','{"said": "Šimić", "n": 1.5}');
INSERT INTO "pending_import" VALUES('pending_import digest 1','pending_import name 1','pending_import kind 1','2026-04-12T10:30:15.123456Z',X'00FF206E616D653B626F726E0A','{"said": "Šimić", "n": 1.5}','{"said": "Šimić", "n": 1.5}');
CREATE TABLE person (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	role TEXT NOT NULL, 
	CONSTRAINT pk_person PRIMARY KEY (id)
)
 STRICT

;
INSERT INTO "person" VALUES('26f25445-fd20-5fc7-a85e-a39b5f4db7ee','person name 0','person role 0');
INSERT INTO "person" VALUES('0413e4fa-1188-51ec-86ca-a912bbcad287','person name 1','person role 1');
CREATE TABLE reading (
	seq INTEGER NOT NULL, 
	clip TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	value REAL, 
	word TEXT, 
	unit TEXT NOT NULL, 
	uncertainty REAL, 
	trust TEXT NOT NULL, 
	sentence TEXT NOT NULL, 
	basis TEXT NOT NULL, 
	recipe TEXT NOT NULL, 
	CONSTRAINT pk_reading PRIMARY KEY (seq), 
	CONSTRAINT fk_reading_clip FOREIGN KEY(clip) REFERENCES clip (id)
)
 STRICT

;
INSERT INTO "reading" VALUES(1,'9f850c8b-3c11-52d0-a9ce-3b1229d264e7',3,'reading name 0',0.25,'reading word 0','reading unit 0',0.25,'reading trust 0','reading sentence 0','reading basis 0','reading recipe 0');
INSERT INTO "reading" VALUES(2,'f51a919a-4794-58cf-a975-120daf654e9b',4,'reading name 1',NULL,NULL,'reading unit 1',NULL,'reading trust 1','reading sentence 1','reading basis 1','reading recipe 1');
CREATE TABLE received (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	device TEXT, 
	said_at TEXT NOT NULL, 
	at TEXT NOT NULL, 
	clock TEXT NOT NULL, 
	way TEXT NOT NULL, 
	CONSTRAINT pk_received PRIMARY KEY (seq), 
	CONSTRAINT fk_received_device FOREIGN KEY(device) REFERENCES device (id), 
	CONSTRAINT uq_received_id UNIQUE (id)
)
 STRICT

;
INSERT INTO "received" VALUES(1,'5f817d9e-6255-5d4b-81c5-57584a15a651','received kind 0','received digest 0','99ff8d78-6a00-56e4-b2d5-a5d864497426','2026-04-11T10:30:15.123456Z','2026-04-11T10:30:15.123456Z','received clock 0','received way 0');
INSERT INTO "received" VALUES(2,'35ec7e91-7caf-5a5e-8cd4-4ad060c8d501','received kind 1','received digest 1',NULL,'2026-04-12T10:30:15.123456Z','2026-04-12T10:30:15.123456Z','received clock 1','received way 1');
CREATE TABLE same_as (
	id TEXT NOT NULL, 
	athlete TEXT, 
	camp TEXT, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_same_as PRIMARY KEY (id), 
	CONSTRAINT fk_same_as_athlete FOREIGN KEY(athlete) REFERENCES athlete (id), 
	CONSTRAINT fk_same_as_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 STRICT

;
INSERT INTO "same_as" VALUES('5bd0af1b-3c7a-53db-9e88-20f02c8b2c18','4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','24467214-c768-5af4-a8a1-cad0f2bc4628','2026-04-11T10:30:15.123456Z');
INSERT INTO "same_as" VALUES('16d9d1a4-9b57-5ed1-be6f-951308175158',NULL,NULL,'2026-04-12T10:30:15.123456Z');
CREATE TABLE set_aside (
	seq INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	id TEXT, 
	athlete TEXT, 
	camp TEXT, 
	verdict TEXT NOT NULL, 
	why TEXT NOT NULL, 
	record TEXT NOT NULL, 
	device TEXT, 
	at TEXT NOT NULL, 
	way TEXT NOT NULL, 
	settled TEXT, 
	settled_by TEXT NOT NULL, 
	settled_how TEXT NOT NULL, 
	CONSTRAINT pk_set_aside PRIMARY KEY (seq), 
	CONSTRAINT fk_set_aside_device FOREIGN KEY(device) REFERENCES device (id)
)
 STRICT

;
INSERT INTO "set_aside" VALUES(1,'set_aside digest 0','82f064f0-2292-531a-ad69-d65471f701ec','82f064f0-2292-531a-ad69-d65471f701ec','82f064f0-2292-531a-ad69-d65471f701ec','set_aside verdict 0','set_aside why 0','{"said": "Šimić", "n": 1.5}','99ff8d78-6a00-56e4-b2d5-a5d864497426','2026-04-11T10:30:15.123456Z','set_aside way 0','2026-04-11T10:30:15.123456Z','set_aside settled_by 0','set_aside settled_how 0');
INSERT INTO "set_aside" VALUES(2,'set_aside digest 1',NULL,NULL,NULL,'set_aside verdict 1','set_aside why 1','{"said": "Šimić", "n": 1.5}',NULL,'2026-04-12T10:30:15.123456Z','set_aside way 1',NULL,'set_aside settled_by 1','set_aside settled_how 1');
CREATE TABLE setting (
	"key" TEXT NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_setting PRIMARY KEY ("key")
)
 STRICT

;
INSERT INTO "setting" VALUES('setting key 0','{"said": "Šimić", "n": 1.5}');
INSERT INTO "setting" VALUES('setting key 1','{"said": "Šimić", "n": 1.5}');
CREATE TABLE standing (
	athlete TEXT NOT NULL, 
	camp TEXT NOT NULL, 
	rung TEXT NOT NULL, 
	state TEXT NOT NULL, 
	turns INTEGER NOT NULL, 
	done INTEGER NOT NULL, 
	help INTEGER, 
	take_off TEXT, 
	landing TEXT, 
	raters TEXT NOT NULL, 
	edition TEXT NOT NULL, 
	first_at TEXT, 
	why_not_alone TEXT NOT NULL, 
	CONSTRAINT pk_standing PRIMARY KEY (athlete, camp, rung), 
	CONSTRAINT fk_standing_camp FOREIGN KEY(camp) REFERENCES camp (id), 
	CONSTRAINT fk_standing_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "standing" VALUES('4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','24467214-c768-5af4-a8a1-cad0f2bc4628','standing rung 0','alone',3,3,10,'trampoline','loose_pit','["one", "two"]','standing edition 0','2026-04-11T10:30:15.123456Z','standing why_not_alone 0');
INSERT INTO "standing" VALUES('4edb36cd-ee24-5f7e-ba92-48e8908b7596','22f21b84-b869-5b3a-9a22-406c1768decb','standing rung 1','helped',4,4,NULL,NULL,NULL,'["one", "two"]','standing edition 1',NULL,'standing why_not_alone 1');
CREATE TABLE track (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	clip TEXT NOT NULL, 
	by_hand INTEGER NOT NULL, 
	detector TEXT NOT NULL, 
	file TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	settings TEXT NOT NULL, 
	at TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	CONSTRAINT pk_track PRIMARY KEY (seq), 
	CONSTRAINT uq_track_id UNIQUE (id), 
	CONSTRAINT fk_track_clip FOREIGN KEY(clip) REFERENCES clip (id)
)
 STRICT

;
INSERT INTO "track" VALUES(1,'77d15bf7-47b7-5593-9e34-13bcb0f71ea1','9f850c8b-3c11-52d0-a9ce-3b1229d264e7',0,'track detector 0','track file 0','track digest 0','{"said": "Šimić", "n": 1.5}','2026-04-11T10:30:15.123456Z','track by 0');
INSERT INTO "track" VALUES(2,'1730bc3a-1362-5b2d-9250-fcf951b832e9','f51a919a-4794-58cf-a975-120daf654e9b',1,'track detector 1','track file 1','track digest 1','{"said": "Šimić", "n": 1.5}','2026-04-12T10:30:15.123456Z','track by 1');
CREATE TABLE twist_note (
	seq INTEGER NOT NULL, 
	athlete TEXT NOT NULL, 
	side TEXT NOT NULL, 
	rung TEXT NOT NULL, 
	"on" TEXT, 
	CONSTRAINT pk_twist_note PRIMARY KEY (seq), 
	CONSTRAINT fk_twist_note_athlete FOREIGN KEY(athlete) REFERENCES athlete (id)
)
 STRICT

;
INSERT INTO "twist_note" VALUES(1,'4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','left','twist_note rung 0','2026-04-11');
INSERT INTO "twist_note" VALUES(2,'4edb36cd-ee24-5f7e-ba92-48e8908b7596','right','twist_note rung 1',NULL);
CREATE TABLE visit (
	athlete TEXT NOT NULL, 
	camp TEXT NOT NULL, 
	CONSTRAINT pk_visit PRIMARY KEY (athlete, camp), 
	CONSTRAINT fk_visit_athlete FOREIGN KEY(athlete) REFERENCES athlete (id), 
	CONSTRAINT fk_visit_camp FOREIGN KEY(camp) REFERENCES camp (id)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "visit" VALUES('4edb36cd-ee24-5f7e-ba92-48e8908b7596','22f21b84-b869-5b3a-9a22-406c1768decb');
INSERT INTO "visit" VALUES('4228606e-bc9c-59bf-ac0d-70f0b27ae3d2','24467214-c768-5af4-a8a1-cad0f2bc4628');
CREATE TABLE withdrawal (
	seq INTEGER NOT NULL, 
	id TEXT NOT NULL, 
	attempt TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	at TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	CONSTRAINT pk_withdrawal PRIMARY KEY (seq), 
	CONSTRAINT uq_withdrawal_id UNIQUE (id), 
	CONSTRAINT fk_withdrawal_attempt FOREIGN KEY(attempt) REFERENCES attempt (id)
)
 STRICT

;
INSERT INTO "withdrawal" VALUES(1,'9c3c8a0a-31dd-56a1-a2b0-916f06963da7','e2fff1c3-dd14-56a2-8232-a1e9715fd9a7','withdrawal by 0','2026-04-11T10:30:15.123456Z','withdrawal reason 0','withdrawal digest 0');
INSERT INTO "withdrawal" VALUES(2,'91976e7f-8e47-5aac-ae5a-e710cd089291','9ebfb582-cf75-5cdd-87f0-96dca8a4a149','withdrawal by 1','2026-04-12T10:30:15.123456Z','withdrawal reason 1','withdrawal digest 1');
CREATE INDEX ix_birth_athlete ON birth (athlete);
CREATE INDEX ix_athlete_name_athlete ON athlete_name (athlete);
CREATE INDEX ix_club_stay_athlete ON club_stay (athlete);
CREATE INDEX ix_height_athlete ON height (athlete);
CREATE INDEX ix_twist_note_athlete ON twist_note (athlete);
CREATE INDEX ix_film_consent_athlete ON film_consent (athlete);
CREATE INDEX ix_camp_starts ON camp (starts);
CREATE INDEX ix_camp_athlete_athlete ON camp_athlete (athlete);
CREATE INDEX ix_attempt_camp_athlete_rung ON attempt (camp, athlete, rung);
CREATE INDEX ix_attempt_athlete ON attempt (athlete);
CREATE INDEX ix_attempt_replaces ON attempt (replaces);
CREATE INDEX ix_withdrawal_attempt ON withdrawal (attempt);
CREATE INDEX ix_standing_camp ON standing (camp);
CREATE INDEX ix_visit_camp ON visit (camp);
CREATE INDEX ix_received_device ON received (device);
CREATE INDEX ix_set_aside_digest ON set_aside (digest);
CREATE INDEX ix_set_aside_athlete ON set_aside (athlete);
CREATE INDEX ix_camp_before_camp ON camp_before (camp);
CREATE INDEX ix_consent_athlete ON consent (athlete);
CREATE INDEX ix_clip_attempt ON clip (attempt);
CREATE INDEX ix_clip_digest ON clip (digest);
CREATE INDEX ix_clip_gone_attempt ON clip_gone (attempt);
CREATE INDEX ix_track_clip ON track (clip);
CREATE INDEX ix_clip_point_clip ON clip_point (clip);
CREATE INDEX ix_bed_line_camp ON bed_line (camp);
CREATE INDEX ix_bed_line_clip ON bed_line (clip);
CREATE INDEX ix_clip_said_clip ON clip_said (clip);
CREATE INDEX ix_reading_clip ON reading (clip);
CREATE INDEX ix_job_state ON job (state);
CREATE INDEX ix_job_clip ON job (clip);
CREATE INDEX ix_decision_athlete ON decision (athlete);
CREATE INDEX ix_gone_out_at ON gone_out (at);
CREATE INDEX ix_gone_out_about_athlete ON gone_out_about (athlete);
CREATE INDEX ix_home_answer_athlete ON home_answer (athlete);
CREATE INDEX ix_same_as_athlete ON same_as (athlete);
CREATE INDEX ix_attempt_marked_again ON attempt (camp, athlete, rung, turn) WHERE second = 1;
CREATE INDEX ix_account_camp_camp ON account_camp (camp);
COMMIT;
