import type { BinJob } from '../../src/bin/types.ts';
import { moved, projection, turnedBack, viewingRay } from '../../src/geometry/camera.ts';
import { contactFinder, newContact } from '../../src/geometry/hull.ts';
import { outlineOf } from '../../src/geometry/outline.ts';
import { balls, dieSolid, type DieKind } from '../../src/geometry/solid.ts';
import { baseFace, cardFromBody, seenDie, uprightTurn, type SeenDie } from '../../src/geometry/standing.ts';
import { normalShare } from '../../src/maths/normal.ts';
import { seededNormal, seededRandom } from '../../src/maths/random.ts';
import type { Picture } from '../../src/vision/picture.ts';
import { rendered, scene, type Scene } from './render-card.ts';

/** A bin of d6 whose card was checked with a ruler, held against nothing but its own dice. */
export const D6_JOB: BinJob = {
  die: 'd6',
  checkBar: 100,
  checkBarY: 100,
  checkBarU: 0.02,
  reference: null,
  limits: {},
  sameDice: false,
};

type Colour = readonly [number, number, number];

/** A die put on the card. Lengths in mm. */
export interface PutDie {
  readonly kind: DieKind;
  readonly x: number;
  readonly y: number;
  /** Radians. */
  readonly yaw: number;
  /** Which of its faces is up. */
  readonly up: number;
  /** Distance between opposite faces of the true die (twice a face's distance). */
  readonly size: number;
  readonly radius: number;
  /** What single faces stand proud by, by index. */
  readonly proud?: Readonly<Record<number, number>>;
  /** Light that it returns, linear. */
  readonly colour?: Colour;
}

const RED: Colour = [0.24, 0.03, 0.035];

const bare = new Map<string, Picture>();
/** The card without anything on it, rendered once per scene. */
function bareCard(s: Scene): Picture {
  const key = JSON.stringify({ ...s, tone: null, seed: null });
  let picture = bare.get(key);
  if (!picture) bare.set(key, (picture = rendered(s)));
  return picture;
}

/** A photo of a card in colour, to put things on; linear light is mixed by how much of a pixel each covers. */
export class BinScene {
  readonly scene: Scene;
  readonly picture: Picture & { readonly data: Uint8Array };
  readonly #noise: () => number;

  constructor(changes: Partial<Scene> = {}) {
    this.scene = scene({ width: 2000, height: 1500, blur: 0.8, noise: 0, samples: 4, stage: 0.7, ...changes });
    const { width, height, data } = bareCard(this.scene);
    this.picture = { width, height, channels: 3, data: Uint8Array.from(data) };
    const random = seededNormal(seededRandom(this.scene.seed + 7));
    // Drawn once and walked through in steps that do not repeat along rows: a photo has millions of pixels.
    const drawn = Float32Array.from({ length: 65_521 }, () => 1.2 * random());
    let at = 0;
    this.#noise = () => drawn[(at = (at + 7919) % drawn.length)]!;
    for (let k = 0; k < this.picture.data.length; k++) this.#put(k, this.picture.data[k]! + this.#noise());
  }

  /** Puts a die on the card; later ones cover earlier ones. */
  die(d: PutDie): this {
    const { camera, cameraFromCard, blur } = this.scene;
    const seen = standing(d, cameraFromCard);
    const find = contactFinder(seen);
    const at = newContact();
    const { xy } = outlineOf(seen, camera, 6);
    const colour = d.colour ?? RED;
    const sigma = Math.hypot(blur, 0.29);
    const middle = moved(cameraFromCard, [d.x, d.y, d.size / 2]);
    const mmPerPx = Math.hypot(...middle) / camera.f;
    this.#over(xy, colour, (u, v) => {
      const ray = viewingRay(camera, u, v);
      find(ray[0], ray[1], ray[2], at);
      return normalShare(-at.distance / mmPerPx / sigma);
    });
    return this;
  }

  /** A flat disc on the card, like a coin. */
  disc(x: number, y: number, radius: number, colour: Colour): this {
    return this.#flat((px, py) => radius - Math.hypot(px - x, py - y), colour, [x, y, radius]);
  }

  /** A hard shadow on the card: a disc in which the card returns this share of its light. */
  shadow(x: number, y: number, radius: number, share: number): this {
    const { data } = this.picture;
    this.#card([x, y, radius], (px, py, k, mmPerPx) => {
      const t = normalShare((radius - Math.hypot(px - x, py - y)) / mmPerPx / 1.2);
      for (let c = 0; c < 3; c++) {
        const light = this.scene.tone.toLight(data[k + c]!);
        this.#put(k + c, this.scene.tone.toDisplay(light * (1 - t * (1 - share))) + this.#noise() * t);
      }
    });
    return this;
  }

  /** Something long that reaches in over the card's lower border to (x, y), like a hand. */
  hand(x: number, y: number, halfWidth: number): this {
    const reach = (px: number, py: number): number =>
      py > y ? halfWidth - Math.hypot(px - x, py - y) : halfWidth - Math.abs(px - x);
    return this.#flat(reach, [0.45, 0.25, 0.18], [x, y - 60, 75]);
  }

  #flat(
    depth: (x: number, y: number) => number,
    colour: Colour,
    [x, y, reach]: readonly [number, number, number],
  ): this {
    const { tone } = this.scene;
    const { data } = this.picture;
    this.#card([x, y, reach], (px, py, k, mmPerPx) => {
      const t = normalShare(depth(px, py) / mmPerPx / 0.85);
      if (t < 1e-4) return;
      for (let c = 0; c < 3; c++)
        this.#put(k + c, tone.toDisplay((1 - t) * tone.toLight(data[k + c]!) + t * colour[c]!) + t * this.#noise());
    });
    return this;
  }

  /** Visits the pixels that show the card's plane near a place. */
  #card(
    [x, y, reach]: readonly [number, number, number],
    visit: (px: number, py: number, k: number, mmPerPx: number) => void,
  ): void {
    const { camera, cameraFromCard, width, height } = this.scene;
    const { rotation, shift } = cameraFromCard;
    const eye = turnedBack(rotation, [-shift[0], -shift[1], -shift[2]]);
    const corners = [-1, 1].flatMap((a) =>
      [-1, 1].map((b) => projection(camera, moved(cameraFromCard, [x + a * (reach + 3), y + b * (reach + 3), 0]))),
    );
    const bound = (axis: 0 | 1, most: number): [number, number] => [
      Math.max(0, Math.floor(Math.min(...corners.map((c) => c[axis])))),
      Math.min(most - 1, Math.ceil(Math.max(...corners.map((c) => c[axis])))),
    ];
    const [u0, u1] = bound(0, width);
    const [v0, v1] = bound(1, height);
    const mmPerPx = eye[2] / camera.f;
    for (let v = v0; v <= v1; v++)
      for (let u = u0; u <= u1; u++) {
        const ray = turnedBack(rotation, viewingRay(camera, u, v));
        const t = -eye[2] / ray[2];
        visit(eye[0] + t * ray[0], eye[1] + t * ray[1], 3 * (v * width + u), mmPerPx);
      }
  }

  /** Mixes a colour in over an outline: wholly well inside, by `cover` near its border, not at all beyond. */
  #over(xy: Float64Array, colour: Colour, cover: (u: number, v: number) => number): void {
    const { width, height, tone } = this.scene;
    const { data } = this.picture;
    const [inner, outer] = [scaled(xy, 0.92), scaled(xy, 1.06)];
    for (let v = 0; v < height; v++) {
      const [from, to] = span(outer, v);
      const [deep, end] = span(inner, v);
      for (let u = Math.max(0, Math.ceil(from)); u <= Math.min(width - 1, to); u++) {
        const share = u > deep && u < end ? 1 : cover(u, v);
        if (share < 1e-4) continue;
        const k = 3 * (v * width + u);
        for (let c = 0; c < 3; c++) {
          const light = (1 - share) * tone.toLight(data[k + c]!) + share * colour[c]!;
          this.#put(k + c, tone.toDisplay(light) + share * this.#noise());
        }
      }
    }
  }

  #put(k: number, value: number): void {
    this.picture.data[k] = Math.max(0, Math.min(255, Math.round(value)));
  }
}

function standing(d: PutDie, cameraFromCard: Scene['cameraFromCard']): SeenDie {
  const solid = dieSolid(d.kind);
  const up = solid.labels[d.up]!;
  const front = solid.labels.find((l, f) => l !== up && f !== baseFace(solid, up))!;
  const distances = Float64Array.from(solid.labels, (_, f) => d.size / 2 + (d.proud?.[f] ?? 0));
  const body = balls(solid, distances, new Float64Array(solid.corners.length).fill(d.radius));
  const upright = uprightTurn(solid, { up, front });
  const height = distances[baseFace(solid, up)]!;
  return seenDie(body, cameraFromCard, cardFromBody(upright, { x: d.x, y: d.y, yaw: d.yaw }, height));
}

/** A closed outline made larger or smaller about its middle. */
function scaled(xy: Float64Array, by: number): Float64Array {
  const n = xy.length / 2;
  const middle = [0, 1].map((axis) => xy.reduce((s, v, i) => (i % 2 === axis ? s + v : s), 0) / n);
  return xy.map((v, i) => middle[i % 2]! + by * (v - middle[i % 2]!));
}

/** Where a row crosses a closed convex outline; an empty span where it does not. */
function span(xy: Float64Array, v: number): readonly [number, number] {
  let [from, to] = [Infinity, -Infinity];
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    const [a, b] = [xy[i + 1]!, xy[j + 1]!];
    if (a > v === b > v) continue;
    const u = xy[i]! + ((v - a) / (b - a)) * (xy[j]! - xy[i]!);
    from = Math.min(from, u);
    to = Math.max(to, u);
  }
  return [from, to];
}
