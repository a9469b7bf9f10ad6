/** The little of three.js that the scene uses, as its documentation describes it; the package brings no types of its own. */
declare module "three" {
  export class Vector3 { constructor(x?: number, y?: number, z?: number); x: number; y: number; z: number; set(x: number, y: number, z: number): this }
  export class Vector2 { constructor(x?: number, y?: number) }
  export class Quaternion { constructor(x?: number, y?: number, z?: number, w?: number); x: number; y: number; z: number; w: number; set(x: number, y: number, z: number, w: number): this }
  export class Matrix4 { compose(position: Vector3, turn: Quaternion, scale: Vector3): this }
  export class Color { constructor(colour?: string); set(colour: string): this; lerp(other: Color, share: number): this; clone(): Color; copy(other: Color): this }
  export class Object3D {
    position: Vector3; quaternion: Quaternion; scale: Vector3; up: Vector3; visible: boolean; renderOrder: number; frustumCulled: boolean;
    add(...children: Object3D[]): this; remove(...children: Object3D[]): this; clear(): this; lookAt(target: Vector3): void; updateMatrixWorld(force?: boolean): void;
    getWorldPosition(into: Vector3): Vector3; getWorldQuaternion(into: Quaternion): Quaternion;
  }
  export class Group extends Object3D {}
  export class Scene extends Object3D {}
  export class PerspectiveCamera extends Object3D { constructor(fov: number, aspect: number, near: number, far: number); fov: number; aspect: number; updateProjectionMatrix(): void }
  export class BufferAttribute { constructor(array: ArrayLike<number>, size: number) }
  export class Float32BufferAttribute extends BufferAttribute {}
  export class BufferGeometry { setAttribute(name: string, values: BufferAttribute): this; translate(x: number, y: number, z: number): this; scale(x: number, y: number, z: number): this; rotateX(angle: number): this; rotateY(angle: number): this; rotateZ(angle: number): this; dispose(): void }
  export class LatheGeometry extends BufferGeometry { constructor(points: Vector2[], segments?: number) }
  export class SphereGeometry extends BufferGeometry { constructor(radius: number, wide?: number, high?: number) }
  export class PlaneGeometry extends BufferGeometry { constructor(width: number, height: number) }
  export class Material { dispose(): void }
  export class MeshBasicMaterial extends Material { constructor(values?: object); color: Color }
  export class MeshLambertMaterial extends Material { constructor(values?: object); color: Color }
  export class LineBasicMaterial extends Material { constructor(values?: object); color: Color }
  export class Mesh extends Object3D { constructor(geometry: BufferGeometry, material: Material); geometry: BufferGeometry }
  export class InstancedMesh extends Mesh { constructor(geometry: BufferGeometry, material: Material, count: number); count: number; instanceMatrix: { needsUpdate: boolean }; setMatrixAt(n: number, matrix: Matrix4): void }
  export class LineSegments extends Object3D { constructor(geometry: BufferGeometry, material: Material); geometry: BufferGeometry }
  export class HemisphereLight extends Object3D { constructor(sky: string, ground: string, strength: number); color: Color; groundColor: Color; intensity: number }
  export class DirectionalLight extends Object3D { constructor(colour: string, strength: number); intensity: number; target: Object3D }
  export class WebGLRenderer { constructor(values: object); setPixelRatio(ratio: number): void; setSize(width: number, height: number, style?: boolean): void; render(scene: Scene, camera: PerspectiveCamera): void; dispose(): void }
  export const BackSide: number;
}
