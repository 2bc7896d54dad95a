import {
  BufferAttribute,
  BufferGeometry,
  CanvasTexture,
  Color,
  DirectionalLight,
  Group,
  HemisphereLight,
  Mesh,
  MeshBasicMaterial,
  MeshStandardMaterial,
  PerspectiveCamera,
  PlaneGeometry,
  Quaternion,
  Scene,
  SRGBColorSpace,
  Vector3,
  WebGLRenderer,
} from 'three';
import type { DieState } from '../../fit/die-state.ts';
import { vec3At } from '../../geometry/vec.ts';
import { divergingColour } from './diverging.ts';
import { faceCentre } from '../../figures/die-view.ts';
import { needsLine } from '../kit/shot-drawing.ts';
import { enlarged, solidMesh } from '../../figures/solid-mesh.ts';

/** A die that can be turned, drawn by the graphics card. */
export interface SolidScene {
  /** Draws the die with deviations enlarged; `values` colour its faces, -1 to 1, in the order of its faces. */
  show(shape: DieState, factor: number, values: readonly number[]): void;
  /** Marks faces, by index. */
  mark(faces: readonly number[]): void;
  /** Turns by angles about the screen's upward and rightward axes, radians. */
  turn(aboutUp: number, aboutRight: number): void;
  /** Brings a face before the eye. */
  face(index: number): void;
  /** The face nearest to the eye. */
  facing(): number;
  resize(width: number, height: number): void;
  close(): void;
}

/** Side of a number's texture, px. */
const TEXTURE = 128;
const VIEW = { angle: 28, distance: 4.6 } as const;

/** @throws {Error} Where the browser has no WebGL. */
export function solidScene(canvas: HTMLCanvasElement): SolidScene {
  const renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
  const camera = new PerspectiveCamera(VIEW.angle, 1, 0.1, 100);
  camera.position.z = VIEW.distance;
  const scene = litScene();
  const die = new Group();
  scene.add(die);
  die.quaternion.setFromAxisAngle(new Vector3(1, 0.4, 0).normalize(), 0.6);
  let shown: DieState | null = null;
  let labels: Mesh<PlaneGeometry, MeshBasicMaterial>[] = [];
  let marked: readonly number[] = [];
  const draw = (): void => renderer.render(scene, camera);
  const normalOf = (f: number): Vector3 =>
    new Vector3(...vec3At(shown!.solid.normals, f)).applyQuaternion(die.quaternion);

  return {
    show(shape, factor, values) {
      clear(die);
      shown = shape;
      const big = enlarged(shape, factor);
      const scale = drawnScale(shape);
      die.add(surface(big, values, scale));
      marked = [];
      labels = shape.solid.labels.map((_, f) => number(big, f, scale));
      die.add(...labels);
      draw();
    },
    mark(faces) {
      labels.forEach((label, f) => {
        if (faces.includes(f) !== marked.includes(f)) setNumber(label, shown!, f, faces.includes(f));
      });
      marked = faces;
      draw();
    },
    turn(aboutUp, aboutRight) {
      die.quaternion.premultiply(new Quaternion().setFromAxisAngle(new Vector3(0, 1, 0), aboutUp));
      die.quaternion.premultiply(new Quaternion().setFromAxisAngle(new Vector3(1, 0, 0), aboutRight));
      draw();
    },
    face(index) {
      const towards = new Vector3(0.18, 0.22, 1).normalize();
      die.quaternion.premultiply(new Quaternion().setFromUnitVectors(normalOf(index), towards));
      draw();
    },
    facing() {
      const near = shown!.solid.labels.map((_, f) => normalOf(f).z);
      return near.indexOf(Math.max(...near));
    },
    resize(width, height) {
      renderer.setPixelRatio(Math.min(2, devicePixelRatio));
      renderer.setSize(width, height, false);
      camera.aspect = width / height;
      camera.updateProjectionMatrix();
      draw();
    },
    close() {
      clear(die);
      renderer.dispose();
    },
  };
}

/** Size at which a die is drawn: corners of the true one, of inradius 1, lie `reach` out, and come to lie at about 1. */
function drawnScale({ solid, distances }: DieState): number {
  const reach = Math.max(...solid.corners.map((c) => Math.hypot(...c.vertex)));
  const mean = distances.reduce((s, d) => s + d, 0) / distances.length;
  return 1 / (mean * Math.min(reach, 1.45));
}

function litScene(): Scene {
  const scene = new Scene();
  scene.add(new HemisphereLight(0xffffff, 0x888888, 2));
  const sun = new DirectionalLight(0xffffff, 1.6);
  sun.position.set(-1, 2, 3);
  scene.add(sun);
  return scene;
}

function clear(die: Group): void {
  for (const child of [...die.children]) {
    die.remove(child);
    if (!(child instanceof Mesh)) continue;
    const { geometry, material } = child as Mesh<BufferGeometry, MeshBasicMaterial | MeshStandardMaterial>;
    geometry.dispose();
    material.map?.dispose();
    material.dispose();
  }
}

function surface(shape: DieState, values: readonly number[], scale: number): Mesh {
  const mesh = solidMesh(shape);
  const geometry = new BufferGeometry();
  const colours = new Float32Array(mesh.positions.length);
  const linear = values.map((v) => {
    const [r, g, b] = divergingColour(v);
    return new Color().setRGB(r / 255, g / 255, b / 255, SRGBColorSpace);
  });
  for (let v = 0; v < mesh.positions.length / 3; v++) {
    const sum = new Color(0, 0, 0);
    for (let k = 0; k < 3; k++)
      sum.add(linear[mesh.faces[3 * v + k]!]!.clone().multiplyScalar(mesh.shares[3 * v + k]!));
    sum.toArray(colours, 3 * v);
  }
  geometry.setAttribute(
    'position',
    new BufferAttribute(
      mesh.positions.map((p) => p * scale),
      3,
    ),
  );
  geometry.setAttribute('normal', new BufferAttribute(mesh.normals, 3));
  geometry.setAttribute('color', new BufferAttribute(colours, 3));
  geometry.setIndex(new BufferAttribute(mesh.triangles, 1));
  return new Mesh(geometry, new MeshStandardMaterial({ vertexColors: true, roughness: 0.75 }));
}

/** A plane that carries a face's number, a hair above it. */
function number(shape: DieState, face: number, scale: number): Mesh<PlaneGeometry, MeshBasicMaterial> {
  const { solid, distances } = shape;
  const normal = new Vector3(...vec3At(solid.normals, face));
  const centre = new Vector3(...faceCentre(solid, face)).multiplyScalar(distances[face]! * scale);
  const side = (solid.labels.length > 12 ? 0.5 : solid.labels.length > 6 ? 0.6 : 0.8) * distances[face]! * scale;
  const label = new Mesh(new PlaneGeometry(side, side), new MeshBasicMaterial({ transparent: true }));
  label.position.copy(centre).addScaledVector(normal, 0.004);
  // Upright along the body's z where the face allows it.
  const up = Math.abs(normal.z) > 0.95 ? new Vector3(0, 1, 0) : new Vector3(0, 0, 1);
  label.up.copy(up);
  label.lookAt(label.position.clone().add(normal));
  setNumber(label, shape, face, false);
  return label;
}

function setNumber(
  label: Mesh<PlaneGeometry, MeshBasicMaterial>,
  shape: DieState,
  face: number,
  marked: boolean,
): void {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = TEXTURE;
  const c = canvas.getContext('2d')!;
  const text = shape.solid.labels[face]!;
  const half = TEXTURE / 2;
  if (marked) {
    c.lineWidth = 8;
    c.strokeStyle = '#111';
    c.beginPath();
    c.arc(half, half, half - 6, 0, 2 * Math.PI);
    c.stroke();
  }
  c.font = `600 ${TEXTURE * 0.5}px system-ui, sans-serif`;
  c.textAlign = 'center';
  c.textBaseline = 'middle';
  c.fillStyle = '#111';
  c.fillText(text, half, half + 4);
  if (needsLine(text, shape.solid.labels)) c.fillRect(half - 18, half + 34, 36, 5);
  label.material.map?.dispose();
  const texture = new CanvasTexture(canvas);
  texture.colorSpace = SRGBColorSpace;
  label.material.map = texture;
  label.material.color.set(0xffffff);
  label.material.needsUpdate = true;
}
