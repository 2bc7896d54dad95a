import { projection, type Camera, type Rigid } from '../geometry/camera.ts';
import { contactFinder, newContact } from '../geometry/hull.ts';
import type { SeenDie } from '../geometry/standing.ts';
import { cross, dot, minus, norm, scaled, unitVector, type Vec3 } from '../geometry/vec.ts';
import type { Crop } from './picture.ts';
import { ROUGH } from './reflectance.ts';
import type { ToneCurve } from './tone.ts';

/** Light per channel over the stage's, and how far it is known, one standard deviation. */
export interface Mirrored {
  readonly light: Vec3;
  readonly doubt: number;
}

/** What a face mirrors where it is polished, and where it is rough. */
export interface MirroredLight {
  readonly polished: Mirrored;
  readonly rough: Mirrored;
}

/** Doubt of light that was looked up in the picture, and of light from where it does not show, over what it is taken to be. */
const DOUBT = { seen: 0.15, unseen: 0.5 } as const;

/** Rays that fall no steeper than this go past the card. */
const LEAST_FALL = 0.02;
/** A place this near to the die's outline is not looked up, mm. */
const CLEAR = 0.4;
/** Pixels to each side of a place that are averaged. */
const AROUND = 2;

/**
 * Looks up what a place on a die mirrors: the picture itself shows the stage where the mirrored ray meets it, in the die's shade or out
 * of it. Rays that pass the card, leave the picture's crop or end behind the die meet what is not seen.
 */
export class MirroredLights {
  readonly #crop: Crop;
  readonly #camera: Camera;
  readonly #tone: ToneCurve;
  readonly #stage: readonly number[];
  /** The card's upwards and middle, camera frame. */
  readonly #up: Vec3;
  readonly #middle: Vec3;
  readonly #beyond: Mirrored;
  readonly #find: ReturnType<typeof contactFinder>;
  readonly #contact = newContact();

  /**
   * @param stage   Light of the bare stage, per channel, which is 1 in the answers.
   * @param unseen  What is not seen is taken to be so bright, over the stage.
   */
  constructor(
    crop: Crop,
    die: SeenDie,
    camera: Camera,
    { rotation, shift }: Rigid,
    tone: ToneCurve,
    stage: readonly number[],
    unseen: number,
  ) {
    this.#crop = crop;
    this.#camera = camera;
    this.#tone = tone;
    this.#stage = stage;
    this.#up = [rotation[2]!, rotation[5]!, rotation[8]!];
    this.#middle = shift;
    this.#beyond = { light: [unseen, unseen, unseen], doubt: DOUBT.unseen * unseen };
    this.#find = contactFinder(die);
  }

  /** Of a point and a face's outward unit normal, camera frame, mm. */
  at(point: Vec3, normal: Vec3): MirroredLight {
    const ray = unitVector(point);
    const polished = this.#ahead(point, reflected(ray, normal));
    const lobe = [polished];
    for (const slope of slopes(ray, normal)) {
      const facet = unitVector([normal[0] + slope[0], normal[1] + slope[1], normal[2] + slope[2]]);
      const towards = reflected(ray, facet);
      if (dot(ray, facet) < 0 && dot(towards, normal) > 0) lobe.push(this.#ahead(point, towards));
    }
    return { polished, rough: meanOf(lobe) };
  }

  /** Light that comes from there. */
  #ahead(point: Vec3, towards: Vec3): Mirrored {
    const up = this.#up;
    const fall = dot(up, towards);
    if (fall > -LEAST_FALL) return this.#beyond;
    const way = -dot(up, minus(point, this.#middle)) / fall;
    const met: Vec3 = [point[0] + way * towards[0], point[1] + way * towards[1], point[2] + way * towards[2]];
    const ray = unitVector(met);
    const contact = this.#contact;
    // Sought anew: what a ray elsewhere met may hold as a guess, and not be what this one meets.
    this.#find(ray[0], ray[1], ray[2], contact, -1, -1);
    if (contact.distance < CLEAR) return this.#beyond;
    const [u, v] = projection(this.#camera, met);
    const light = lightAt(this.#crop, u, v, this.#tone, this.#stage);
    return light ? { light, doubt: DOUBT.seen } : this.#beyond;
  }
}

function meanOf(lobe: readonly Mirrored[]): Mirrored {
  let [r, g, b, doubt] = [0, 0, 0, 0];
  for (const m of lobe) {
    r += m.light[0];
    g += m.light[1];
    b += m.light[2];
    doubt += m.doubt;
  }
  const n = lobe.length;
  return { light: [r / n, g / n, b / n], doubt: doubt / n };
}

const reflected = (ray: Vec3, normal: Vec3): Vec3 => {
  const twice = 2 * dot(ray, normal);
  return [ray[0] - twice * normal[0], ray[1] - twice * normal[1], ray[2] - twice * normal[2]];
};

/** Slopes of a rough surface's facets, along and across the plane of incidence: its slope parameter to each side. */
function slopes(ray: Vec3, normal: Vec3): readonly Vec3[] {
  const across = cross(normal, ray);
  if (norm(across) < 1e-6) return [];
  const side = unitVector(across);
  const along = cross(side, normal);
  return [scaled(along, ROUGH), scaled(along, -ROUGH), scaled(side, ROUGH), scaled(side, -ROUGH)];
}

/** Light round a place in the picture over the stage's; null outside the crop. */
function lightAt(crop: Crop, u: number, v: number, tone: ToneCurve, stage: readonly number[]): Vec3 | null {
  const x = Math.round(u) - crop.left;
  const y = Math.round(v) - crop.top;
  if (x < AROUND || y < AROUND || x >= crop.width - AROUND || y >= crop.height - AROUND) return null;
  const sum = [0, 0, 0];
  for (let b = y - AROUND; b <= y + AROUND; b++)
    for (let a = x - AROUND; a <= x + AROUND; a++)
      for (let c = 0; c < 3; c++) sum[c]! += crop.data[(b * crop.width + a) * crop.channels + c]!;
  for (let c = 0; c < 3; c++) sum[c] = tone.toLight(sum[c]! / (2 * AROUND + 1) ** 2) / stage[c]!;
  return [sum[0]!, sum[1]!, sum[2]!];
}
