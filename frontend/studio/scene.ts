/** The figure in three dimensions: one body, its ghosts along the way, the bed and the mat. Draws only when something has changed. */
import {
  Color, DirectionalLight, Float32BufferAttribute, BufferGeometry as Geometry, Group, HemisphereLight, InstancedMesh, LineBasicMaterial, LineSegments,
  Matrix4, Mesh, MeshBasicMaterial, MeshLambertMaterial, BackSide, PerspectiveCamera, Quaternion, Scene, Vector3, WebGLRenderer,
} from "three";
import { COARSE, sign, solid } from "./body.ts";
import type { Flown } from "./contract.ts";
import { poseAt, type Pose, wayOf } from "./figure.ts";

export type View = "side" | "front" | "with her";
/** Nobody travels in the model; the picture is drawn out so that bodies do not lie over each other. m */
export const DRAWN_OUT = 3.4;
const GHOSTS = 9;
const DEGREE = Math.PI / 180;

export interface Stage {
  show(flown: Flown): void;
  at(time: number): void;
  view(view: View): void;
  turn(around: number, over: number): void;
  ghosts(on: boolean): void;
  look(): void;
  resize(): void;
  /** Where the drawn parts are, in space without the drawing out: places in m, turns w x y z. For tests. */
  readBack(): { names: string[]; origins: number[][]; turns: number[][] };
}

/** Without a graphics card smooth edges cost half of the time of a frame: then a moving picture goes without, a resting one has them. */
function drawsInSoftware(): boolean {
  const asked = document.createElement("canvas").getContext("webgl2");
  const known = asked?.getExtension("WEBGL_debug_renderer_info");
  const name = asked && known ? String(asked.getParameter(known.UNMASKED_RENDERER_WEBGL)) : "";
  asked?.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software|basic render/i.test(name);
}
const RESTS = 180; // ms without a change

export function openStage(canvas: HTMLCanvasElement): Stage {
  const slow = drawsInSoftware();
  const renderer = new WebGLRenderer({ canvas, antialias: !slow, alpha: true, powerPreference: "low-power" });
  const scene = new Scene(), camera = new PerspectiveCamera(26, 1.5, 0.1, 80);
  camera.up.set(0, 0, 1);
  const ink = new MeshLambertMaterial(), rim = new MeshBasicMaterial({ side: BackSide }), paper = new MeshBasicMaterial(), pale = new MeshBasicMaterial({ depthWrite: false });
  const line = new LineBasicMaterial(), faint = new LineBasicMaterial(), way = new LineBasicMaterial();
  const sky = new HemisphereLight("#fff", "#888", 1.9), sun = new DirectionalLight("#fff", 1.5);
  const body = new Group(), ghosts = new Group(), ground = new Group();
  scene.add(sky, sun, sun.target, body, ghosts, ground);
  let parts: Group[] = [], shades: InstancedMesh[] = [], flown: Flown | null = null, drawnFor = "", pose: Pose | null = null;
  let now = 0, from: View = "with her", around = 0, over = 0, asked = false;
  const place = new Vector3(), spin = new Quaternion(), one = new Vector3(1, 1, 1), matrix = new Matrix4();

  const along = (time: number): number => (flown ? -wayOf(flown) * DRAWN_OUT * (time / (flown.frames.times_s.at(-1) ?? 1) - 0.5) : 0);

  function build(told: Flown): void {
    for (const part of parts) for (const mesh of (part as unknown as { children: Mesh[] }).children) mesh.geometry.dispose();
    for (const shade of shades) shade.geometry.dispose();
    body.clear();
    ghosts.clear();
    parts = told.body.segments.map((_, n) => {
      const part = new Group(), mark = sign(told, n);
      part.add(new Mesh(solid(told, n), ink), new Mesh(solid(told, n, 0.011, COARSE), rim));
      if (mark) part.add(new Mesh(mark, paper));
      body.add(part);
      return part;
    });
    shades = told.body.segments.map((_, n) => {
      const shade = new InstancedMesh(solid(told, n, 0, COARSE), pale, GHOSTS);
      shade.frustumCulled = false;
      shade.renderOrder = -1; // behind the body, however near
      ghosts.add(shade);
      return shade;
    });
  }

  function lay(told: Flown): void {
    for (const old of (ground as unknown as { children: LineSegments[] }).children) old.geometry.dispose();
    ground.clear();
    const start = along(0), end = along(told.frames.times_s.at(-1) ?? 1), side = end < start ? -1 : 1;
    const bed: number[] = [], mat: number[] = [], path: number[] = [];
    const box = (into: number[], y0: number, y1: number, half: number, z: number): void => {
      into.push(-half, y0, z, half, y0, z, half, y0, z, half, y1, z, half, y1, z, -half, y1, z, -half, y1, z, -half, y0, z);
    };
    const b0 = start - side * 1.35, b1 = start + side * 1.0;
    box(bed, b0, b1, 1.05, 0);
    for (const share of [0.25, 0.5, 0.75]) bed.push(-1.05, b0 + (b1 - b0) * share, 0, 1.05, b0 + (b1 - b0) * share, 0);
    for (const share of [-0.5, 0, 0.5]) bed.push(share * 1.05, b0, 0, share * 1.05, b1, 0);
    const m0 = end - side * 1.15, m1 = end + side * 1.35;
    box(mat, m0, m1, 1.2, 0);
    box(mat, m0, m1, 1.2, -0.3);
    for (const x of [-1.2, 1.2]) for (const y of [m0, m1]) mat.push(x, y, 0, x, y, -0.3);
    const frames = told.frames.mass_centre_m, last = frames.length - 1;
    frames.forEach((centre, n) => {
      if (n >= last) return;
      const next = frames[n + 1] ?? centre, t = (told.frames.times_s[n] ?? 0), u = t + 0.42 * ((told.frames.times_s[n + 1] ?? t) - t);
      path.push(centre[0], along(t), centre[2], centre[0] + 0.42 * (next[0] - centre[0]), along(u), centre[2] + 0.42 * (next[2] - centre[2]));
    });
    for (const [points, material] of [[bed, faint], [mat, line], [path, way]] as const) {
      ground.add(new LineSegments(new Geometry().setAttribute("position", new Float32BufferAttribute(points, 3)), material));
    }
  }

  function put(told: Pose, time: number): void {
    const shift = along(time);
    parts.forEach((part, n) => {
      const o = told.origins[n] ?? [0, 0, 0], q = told.turns[n] ?? [1, 0, 0, 0];
      part.position.set(o[0], o[1] + shift, o[2]);
      part.quaternion.set(q[1], q[2], q[3], q[0]);
    });
  }

  function putGhosts(told: Flown): void {
    const end = told.frames.times_s.at(-1) ?? 1;
    for (let k = 0; k < GHOSTS; k++) {
      const time = (end * k) / (GHOSTS - 1), one_ = poseAt(told, time), shift = along(time);
      shades.forEach((shade, n) => {
        const o = one_.origins[n] ?? [0, 0, 0], q = one_.turns[n] ?? [1, 0, 0, 0];
        shade.setMatrixAt(k, matrix.compose(place.set(o[0], o[1] + shift, o[2]), spin.set(q[1], q[2], q[3], q[0]), one));
      });
    }
    for (const shade of shades) shade.instanceMatrix.needsUpdate = true;
  }

  function aim(): void {
    const centre = pose?.centre ?? [0, 0, 1];
    const tall = Math.max(...(flown?.frames.mass_centre_m.map((c) => c[2]) ?? [3])) + 1.0;
    const whole = from !== "with her";
    const target = whole ? new Vector3(0, 0, tall / 2 - 0.32) : new Vector3(centre[0], centre[1] + along(now), centre[2]);
    const half = whole ? tall / 2 + 0.36 : 1.22, across = from === "side" ? DRAWN_OUT / 2 + 1.5 : from === "front" ? 1.7 : 1.22;
    const tangent = Math.tan((camera.fov * DEGREE) / 2);
    const far = Math.max(half / tangent, across / tangent / camera.aspect) + (from === "front" ? DRAWN_OUT / 2 : 0);
    const a = (from === "front" ? 90 : from === "with her" ? 32 : 0) * DEGREE + around, e = Math.min(Math.max((from === "with her" ? 6 : 5) * DEGREE + over, -1.2), 1.45);
    const w = flown ? wayOf(flown) : 1;
    camera.position.set(target.x - w * far * Math.cos(e) * Math.cos(a), target.y + w * far * Math.cos(e) * Math.sin(a), target.z + far * Math.sin(e));
    camera.lookAt(target);
    sun.position.set(camera.position.x - w, camera.position.y + 2, camera.position.z + 8);
    sun.target.position.set(target.x, target.y, target.z);
  }

  let fine = false, resting = 0;
  function sharpen(finer: boolean): void {
    if (slow && fine !== finer) renderer.setPixelRatio(finer ? 2 : 1);
    fine = finer;
  }
  function draw(): void {
    asked = false;
    if (!flown || !pose) return;
    aim();
    sharpen(false);
    renderer.render(scene, camera);
    clearTimeout(resting);
    if (slow) resting = window.setTimeout(() => { sharpen(true); renderer.render(scene, camera); }, RESTS);
  }

  function soon(): void {
    if (!asked) requestAnimationFrame(draw);
    asked = true;
  }

  const stage: Stage = {
    show(told) {
      const key = JSON.stringify(told.body.segments);
      flown = told;
      if (key !== drawnFor) build(told);
      drawnFor = key;
      lay(told);
      putGhosts(told);
      stage.at(now);
    },
    at(time) {
      now = time;
      if (!flown) return;
      now = Math.min(Math.max(time, 0), flown.frames.times_s.at(-1) ?? 1);
      pose = poseAt(flown, now);
      put(pose, now);
      soon();
    },
    view(view) {
      [from, around, over] = [view, 0, 0];
      soon();
    },
    turn(more, higher) {
      around += more;
      over += higher;
      soon();
    },
    ghosts(on) {
      ghosts.visible = on;
      soon();
    },
    look() {
      const css = getComputedStyle(document.documentElement), colour = (name: string): Color => new Color(css.getPropertyValue(name).trim());
      const ground_ = colour("--paper"), finding = colour("--finding");
      ink.color.copy(finding);
      rim.color.copy(ground_);
      paper.color.copy(ground_);
      pale.color.copy(ground_.clone().lerp(finding, 0.24));
      line.color.copy(colour("--ink"));
      faint.color.copy(colour("--edge"));
      way.color.copy(colour("--quiet"));
      soon();
    },
    resize() {
      const box = canvas.getBoundingClientRect();
      if (!box.width || !box.height) return;
      renderer.setPixelRatio(slow ? (fine ? 2 : 1) : Math.min(devicePixelRatio, 2));
      renderer.setSize(box.width, box.height, false);
      camera.aspect = box.width / box.height;
      camera.updateProjectionMatrix();
      soon();
    },
    readBack() {
      scene.updateMatrixWorld(true);
      const shift = along(now);
      return {
        names: flown?.body.segments.map((segment) => segment.name) ?? [],
        origins: parts.map((part) => { const p = part.getWorldPosition(new Vector3()); return [p.x, p.y - shift, p.z]; }),
        turns: parts.map((part) => { const q = part.getWorldQuaternion(new Quaternion()); return [q.w, q.x, q.y, q.z]; }),
      };
    },
  };
  stage.look();
  return stage;
}
