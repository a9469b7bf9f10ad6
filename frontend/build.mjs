/** Builds the gym's page, and what lives in the browser on other pages, into the folder that is named, or where the package keeps it. `node build.mjs [folder]` */
import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { deflateSync } from "node:zlib";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2] ?? join(here, "..", "src", "loftbook", "web", "static", "gym");
const FONTS = ["source-serif-4.ttf", "source-serif-4-italic.ttf", "source-sans-3.ttf"].map((name) => `/fonts/${name}`);

await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });

const shared = { bundle: true, minify: true, target: ["es2022", "safari15.4"], legalComments: "linked", logLevel: "warning", absWorkingDir: here };
const made = await build({
  ...shared, entryPoints: ["gym/main.tsx", "gym/gym.css"], outdir: out, entryNames: "[name]-[hash]", format: "esm", metafile: true,
  jsx: "automatic", jsxImportSource: "preact", external: ["/fonts/*"],
});
const names = Object.keys(made.metafile.outputs).map((path) => basename(path));
const script = names.find((name) => /^main-.*\.js$/.test(name));
const style = names.find((name) => /^gym-.*\.css$/.test(name));

const page = (await readFile(join(here, "gym", "index.html"), "utf8")).replace("{{script}}", script).replace("{{style}}", style);
await writeFile(join(out, "index.html"), page);
await writeFile(join(out, "app.webmanifest"), await readFile(join(here, "gym", "app.webmanifest")));
for (const size of [180, 192, 512]) await writeFile(join(out, `icon-${size}.png`), icon(size));

const shell = ["/gym", `/gym/${script}`, `/gym/${style}`, "/gym/app.webmanifest", "/gym/icon-192.png", ...FONTS];
const stamp = createHash("sha256").update(page).digest("hex").slice(0, 12);
await build({ ...shared, entryPoints: ["gym/sw.ts"], outdir: out, entryNames: "sw", format: "iife", define: { SHELL: JSON.stringify(shell), STAMP: JSON.stringify(stamp) } });

await buildIslands(["clip", "studio"].filter((name) => existsSync(join(here, name, "main.tsx"))));

/** The parts of ordinary pages that live in the browser: `NAME/main.tsx` and `NAME/NAME.css`, found again by islands.json. */
async function buildIslands(names) {
  const folder = join(out, "islands");
  const made = await build({
    ...shared, entryPoints: names.flatMap((name) => [`${name}/main.tsx`, `${name}/${name}.css`]), outdir: folder, outbase: here,
    entryNames: "[dir]-[name]-[hash]", chunkNames: "part-[hash]", format: "esm", splitting: true, metafile: true,
    jsx: "automatic", jsxImportSource: "preact", external: ["/fonts/*"],
  });
  const files = Object.keys(made.metafile.outputs).map((path) => basename(path));
  const found = Object.fromEntries(names.map((name) => [name, {
    script: files.find((file) => file.startsWith(`${name}-main-`) && file.endsWith(".js")),
    style: files.find((file) => file.startsWith(`${name}-${name}-`) && file.endsWith(".css")),
  }]));
  await writeFile(join(folder, "islands.json"), JSON.stringify(found));
}

/** The arch of the book, paper on ink, as a PNG: a flight over the bed, inside the safe circle of a masked icon. */
function icon(size) {
  const ink = [28, 26, 23], paper = [253, 252, 249];
  const rows = Buffer.alloc((size * 3 + 1) * size);
  const inside = (x, y) => y < 0.72 && y > 0.72 - 0.46 * (1 - ((x - 0.5) / 0.29) ** 2);
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      let hits = 0;
      for (let a = 0; a < 4; a++) for (let b = 0; b < 4; b++) hits += inside((x + (a + 0.5) / 4) / size, (y + (b + 0.5) / 4) / size) ? 1 : 0;
      for (let c = 0; c < 3; c++) rows[y * (size * 3 + 1) + 1 + x * 3 + c] = Math.round(ink[c] + ((paper[c] - ink[c]) * hits) / 16);
    }
  }
  const head = Buffer.alloc(13);
  head.writeUInt32BE(size, 0);
  head.writeUInt32BE(size, 4);
  head.set([8, 2, 0, 0, 0], 8);
  return Buffer.concat([Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]), chunk("IHDR", head), chunk("IDAT", deflateSync(rows, { level: 9 })), chunk("IEND", Buffer.alloc(0))]);
}

function chunk(kind, data) {
  const body = Buffer.concat([Buffer.from(kind, "latin1"), data]);
  const whole = Buffer.alloc(body.length + 8);
  whole.writeUInt32BE(data.length, 0);
  body.copy(whole, 4);
  whole.writeUInt32BE(crc(body), body.length + 4);
  return whole;
}

function crc(bytes) {
  let left = 0xffffffff;
  for (const byte of bytes) {
    left ^= byte;
    for (let n = 0; n < 8; n++) left = left & 1 ? (left >>> 1) ^ 0xedb88320 : left >>> 1;
  }
  return (left ^ 0xffffffff) >>> 0;
}
