/** Faces drawn as a camera would see them, and looked at straight on again. */
import { seededNormal, type Random } from '../../src/maths/random.ts';
import type { FacePixels } from '../../src/faces/reader/window.ts';
import { grooveLight, type Look, type Place, type Shot } from './looks.ts';
import { lossy } from './lossy.ts';
import { addNoise, blurred } from './photo-pixels.ts';
import type { Printed } from './print.ts';

const KITE = [
  [0, -1.75],
  [-1.06, 0.42],
  [0, 1.16],
  [1.06, 0.42],
] as const;

/** Corners of a face about its middle, in radii (of the circle inside a regular one), counter-clockwise as drawn (y down): a corner up, on a square an edge. */
export function faceOutline(sides: 3 | 4 | 5 | 'kite'): readonly (readonly [number, number])[] {
  if (sides === 'kite') return KITE.map(([x, y]) => [x * 1.02, y * 1.02 + 0.05]);
  const out = 1 / Math.cos(Math.PI / sides);
  return Array.from({ length: sides }, (_, k) => {
    const a = (2 * Math.PI * (k + (sides === 4 ? 0.5 : 0))) / sides;
    return [-out * Math.sin(a), -out * Math.cos(a)] as const;
  });
}

/** Smooth noise of one seed over the plane, about 0 to 1, one wave per unit. */
function noise(random: Random): (x: number, y: number) => number {
  const lattice = Float32Array.from({ length: 256 }, random);
  const at = (i: number, j: number): number => lattice[((j & 15) << 4) | (i & 15)]!;
  return (x, y) => {
    const i = Math.floor(x);
    const j = Math.floor(y);
    const a = x - i;
    const b = y - j;
    const s = a * a * (3 - 2 * a);
    const t = b * b * (3 - 2 * b);
    return (at(i, j) * (1 - s) + at(i + 1, j) * s) * (1 - t) + (at(i, j + 1) * (1 - s) + at(i + 1, j + 1) * s) * t;
  };
}

/**
 * A face of a die, photographed and straightened: light, lens, noise and loss act in the photo's own pixels, so that a slanted face comes
 * back with the resolution that is left.
 *
 * @param print null for a blank face.
 * @param span  Radius of the face in the straightened picture, px.
 * @param own   What the face is by itself, where it is photographed more than once: its texture, wear and print; the photo's own chance if left out.
 * @param frame Turn of the face's own frame against the picture's, radians counter-clockwise.
 * @param samples Places along each side of a straightened pixel whose light is averaged.
 */
export function photographed(
  random: Random,
  look: Look,
  shot: Shot,
  print: Printed | null,
  place: Place,
  sides: 3 | 4 | 5 | 'kite',
  span: number,
  own: Random = random,
  frame = 0,
  samples = 1,
): FacePixels {
  const outline = faceOutline(sides);
  const { radius, slant, towards, turned } = shot;
  const reach = sides === 3 ? 1.75 : sides === 'kite' ? 1.6 : 1.42;
  const size = 2 * Math.ceil(reach * radius) + 8;
  const rgb = new Float32Array(3 * size * size);
  // A place on the photo to one on the face: turned, stretched along the slant, turned back.
  const squeeze = Math.cos((slant * Math.PI) / 180);
  const [ct, st, cb, sb] = [Math.cos(towards), Math.sin(towards), Math.cos(turned), Math.sin(turned)];
  const paint = painter(own, random, look, shot, print, place, outline);
  const [cf, sf] = [Math.cos(frame), Math.sin(frame)];
  const limit = reach + 0.1;
  for (let j = 0; j < size; j++)
    for (let i = 0; i < size; i++) {
      const px = i + 0.5 - size / 2;
      const py = j + 0.5 - size / 2;
      const u = (cb * px + sb * py) / radius;
      const v = (-sb * px + cb * py) / radius / squeeze;
      const x = ct * u - st * v;
      const y = st * u + ct * v;
      if (x * x + y * y < limit * limit * 1.2) paint(cf * x + sf * y, cf * y - sf * x, rgb, 3 * (j * size + i));
    }
  blurred(rgb, size, shot.blur);
  const normal = seededNormal(random);
  if (shot.noise > 0) addNoise(rgb, shot.noise, random);
  if (shot.loss > 0) lossy(rgb, size, shot.loss);
  return straightened(
    rgb,
    size,
    shot,
    outline,
    span,
    reach,
    [0.03 * normal(), 0.03 * normal(), 1 + 0.02 * normal()],
    samples,
  );
}

/** 1 on one of `count` discs scattered over a face, 0 beside them. */
function speckles(random: Random, count: number): (x: number, y: number) => number {
  const cells = 24;
  const near: (readonly [number, number, number])[][] = Array.from({ length: cells * cells }, () => []);
  const cell = (v: number): number => Math.min(cells - 1, Math.max(0, Math.floor(((v + 1.8) / 3.6) * cells)));
  for (let k = 0; k < count; k++) {
    const [x, y, r] = [3.2 * random() - 1.6, 3.2 * random() - 1.6, 0.02 + 0.05 * random()];
    for (let j = cell(y - r); j <= cell(y + r); j++)
      for (let i = cell(x - r); i <= cell(x + r); i++) near[j * cells + i]!.push([x, y, r]);
  }
  return (x, y) => {
    for (const [a, b, r] of near[cell(y) * cells + cell(x)]!) if ((x - a) ** 2 + (y - b) ** 2 < r * r) return 1;
    return 0;
  };
}

/** Light of a place on the face, into three values. */
function painter(
  own: Random,
  random: Random,
  look: Look,
  shot: Shot,
  print: Printed | null,
  place: Place,
  outline: readonly (readonly [number, number])[],
) {
  const { skin, second, ink } = look;
  const [warp, wave, wear, fine] = [noise(own), noise(own), noise(own), noise(own)];
  const [ox, oy] = [16 * own(), 16 * own()];
  const speckled = look.texture === 'speckled' ? speckles(own, look.speckles) : null;
  const slope = [0.25 * (2 * random() - 1), 0.25 * (2 * random() - 1)] as const;
  const shine = [2 * random() - 1, 2 * random() - 1, 0.25 + 0.5 * random()] as const;
  const beyond = 0.5 + random();
  const rim = random() < 0.5 ? 1 : 0.7 + 0.8 * random();
  const rimWide = 0.02 + 0.05 * random();
  const cos = Math.cos(place.turn);
  const sin = Math.sin(place.turn);
  const cutFrom = 2 * Math.PI * random();
  const cut = [Math.cos(cutFrom) * 0.05, Math.sin(cutFrom) * 0.05] as const;
  const [shear, tilt] = [0.06 * (2 * own() - 1), 0.08 * (2 * own() - 1)];
  const pixel = 1 / (shot.radius * place.height);
  const hidden = look.groove === undefined ? 0 : 1 - grooveLight(look.groove);
  const inside = insideOf(outline);
  /** Share of ink at a place of the print. */
  const inked = (px: number, py: number): number =>
    print ? Math.min(1, Math.max(0, 0.5 + print.print(px, py) / pixel)) : 0;
  const texture = (x: number, y: number): number => {
    if (look.texture === 'plain') return 0;
    if (speckled) return speckled(x, y);
    const g = look.grain;
    const w = 1.6 * warp(g * x + ox, g * y + oy);
    const n = wave(g * 1.3 * x + w + oy, g * 1.3 * y - w + ox);
    return look.texture === 'cloud' ? n : Math.min(1, Math.max(0, 0.5 + 4 * (n - 0.5)));
  };
  return (x: number, y: number, out: Float32Array, at: number): void => {
    let near = Infinity;
    for (let k = 0; k < inside.length; k += 3)
      near = Math.min(near, inside[k]! * x + inside[k + 1]! * y + inside[k + 2]!);
    if (near < -0.3) return;
    let t = texture(x, y);
    let covered = 0;
    let shade = 1;
    if (print) {
      const dx = x - place.x;
      const dy = y - place.y;
      const px0 = (cos * dx - sin * dy) / place.height;
      const py0 = (-sin * dx - cos * dy) / place.height;
      const far = 1 + tilt * px0;
      const px = px0 * far + shear * py0;
      const py = py0 * far;
      if (Math.abs(px) < print.half[0] + 0.4 && Math.abs(py) < print.half[1] + 0.5) {
        covered = inked(px, py);
        if (look.cut > 0) shade += look.cut * (inked(px + cut[0], py + cut[1]) - inked(px - cut[0], py - cut[1]));
        if (covered > 0 && look.worn > 0) {
          const gone = 0.6 * wear(4.5 * x + ox, 4.5 * y + oy) + 0.4 * fine(11 * x + oy, 11 * y + ox);
          const whole = covered;
          covered *= Math.min(1, Math.max(0, 0.5 + (gone - 0.22 - 0.56 * look.worn) / 0.06));
          shade *= 1 - (whole - covered) * hidden;
        }
      }
    }
    const edge = near < 0 ? beyond : near < rimWide ? rim : 1;
    const light = Math.max(0.1, (1 + slope[0] * x + slope[1] * y) * edge * shade);
    const gloss =
      shot.haze * 0.25 + shot.sheen * Math.exp(-((x - shine[0]) ** 2 + (y - shine[1]) ** 2) / (2 * shine[2] ** 2));
    if (covered >= 1) t = 0;
    for (let c = 0; c < 3; c++) {
      const base = skin[c]! + (second[c]! - skin[c]!) * t;
      const v = base + (ink[c]! - base) * covered;
      out[at + c] = v * v * light * 0.8 + gloss * 0.5;
    }
  };
}

/** The photo's pixels laid out as if looked at straight on, with a pose that is a little off. */
function straightened(
  photo: Float32Array,
  size: number,
  { radius, slant, towards, turned }: Shot,
  outline: readonly (readonly [number, number])[],
  span: number,
  reach: number,
  off: readonly [x: number, y: number, scale: number],
  samples: number,
): FacePixels {
  const side = 2 * Math.ceil(reach * span) + 2;
  const rgb = new Float32Array(3 * side * side);
  const mask = new Uint8Array(side * side);
  const inside = insideOf(outline);
  const squeeze = Math.cos((slant * Math.PI) / 180);
  const [ct, st, cb, sb] = [Math.cos(towards), Math.sin(towards), Math.cos(turned), Math.sin(turned)];
  const share = 1 / samples ** 2;
  /** Adds a place's light, face radii; false where the photo does not hold it. */
  const add = (x: number, y: number, o: number): boolean => {
    const fx = x * off[2] + off[0];
    const fy = y * off[2] + off[1];
    const u = (ct * fx + st * fy) * radius;
    const v = (-st * fx + ct * fy) * squeeze * radius;
    const px = cb * u - sb * v + size / 2 - 0.5;
    const py = sb * u + cb * v + size / 2 - 0.5;
    const left = Math.floor(px);
    const top = Math.floor(py);
    if (left < 0 || top < 0 || left + 1 >= size || top + 1 >= size) return false;
    const k = 3 * (top * size + left);
    const a = px - left;
    const b = py - top;
    for (let c = k; c < k + 3; c++) {
      const above = photo[c]! * (1 - a) + photo[c + 3]! * a;
      const below = photo[c + 3 * size]! * (1 - a) + photo[c + 3 * size + 3]! * a;
      rgb[3 * o + c - k]! += share * (above * (1 - b) + below * b);
    }
    return true;
  };
  for (let j = 0; j < side; j++)
    for (let i = 0; i < side; i++) {
      const x = (i + 0.5 - side / 2) / span;
      const y = (j + 0.5 - side / 2) / span;
      let near = Infinity;
      for (let k = 0; k < inside.length; k += 3)
        near = Math.min(near, inside[k]! * x + inside[k + 1]! * y + inside[k + 2]!);
      if (near < 0) continue;
      const o = j * side + i;
      let held = true;
      for (let q = 0; q < samples ** 2; q++) {
        const [du, dv] = [((q % samples) + 0.5) / samples - 0.5, (Math.floor(q / samples) + 0.5) / samples - 0.5];
        held = add(x + du / span, y + dv / span, o) && held;
      }
      if (held) mask[o] = 1;
    }
  return { size: side, light: rgb, mask };
}

/** A convex outline round the origin as lines: [a, b, c] each, a x + b y + c the distance to the inside. */
function insideOf(outline: readonly (readonly [number, number])[]): Float64Array {
  return Float64Array.from(
    outline.flatMap(([ax, ay], k) => {
      const [bx, by] = outline[(k + 1) % outline.length]!;
      const length = Math.hypot(bx - ax, by - ay);
      const c = ((bx - ax) * ay - (by - ay) * ax) / length;
      const side = Math.sign(c);
      return [(side * (by - ay)) / length, (-side * (bx - ax)) / length, side * c];
    }),
  );
}
