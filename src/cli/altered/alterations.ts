import type { Job, JobShot } from '../../formats/result.ts';
import { seededNormal, seededRandom } from '../../maths/random.ts';
import { bilateral, defocused, portrait, shaken } from './blurs.ts';
import { avif, decodedPixels, jpeg, NO_EXIF, png, tiff, webp, type Writer } from './encode.ts';
import { marked, type Mark } from './marks.ts';
import { lit, pixelsOf, sharpOf, valued, warped, type Pixels } from './pixels.ts';

/** A photo about to be altered. */
export interface Seen {
  /** Place in its set. */
  readonly k: number;
  /** Rough outline of the die, [u, v] per point, px. */
  readonly outline: Float64Array;
  /** Of a bin: the outlines of all its dice. */
  readonly all?: readonly Float64Array[];
}

/** Something that happens to the photos, the print or the entries of a set. */
export interface Alteration {
  readonly name: string;
  readonly group: Group;
  /** Whether a user would rightly expect a result all the same: then a refusal is a failure. */
  readonly expected: boolean;
  readonly picture?: (p: Pixels, seen: Seen) => Pixels | Promise<Pixels>;
  readonly write?: Writer;
  /** Ending of the files' names. */
  readonly ending?: string;
  readonly job?: (job: Job) => Job;
}
export const GROUPS = [
  'as it is',
  'file',
  'size',
  'beside',
  'light',
  'blur',
  'noise',
  'processing',
  'geometry',
  'print',
  'entries',
] as const;
export type Group = (typeof GROUPS)[number];

const BEST = jpeg(95);
type Draft = Omit<Alteration, 'name' | 'group' | 'expected'>;
/** A name that ends with "+" is of something after which a result is rightly expected. */
const named = (group: Group, drafts: Readonly<Record<string, Draft>>): Alteration[] =>
  Object.entries(drafts).map(([name, draft]) => ({
    name: name.replace(/\+$/, ''),
    group,
    expected: name.endsWith('+'),
    ...(draft.picture ? { write: BEST } : {}),
    ...draft,
  }));
const same = (p: Pixels): Pixels => p;
const scaled =
  (share: number, most = Infinity) =>
  (p: Pixels): Promise<Pixels> => {
    const k = Math.min(share, most / Math.max(p.width, p.height));
    return pixelsOf(sharpOf(p).resize(Math.round(k * p.width), Math.round(k * p.height), { kernel: 'lanczos3' }));
  };
const mark =
  (m: Mark) =>
  (p: Pixels, { outline, k }: Seen): Promise<Pixels> =>
    marked(p, outline, m, k);
const noise =
  (level: number, grain = 1) =>
  async (p: Pixels, { k }: Seen): Promise<Pixels> => {
    const normal = seededNormal(seededRandom(k + 3));
    const drawn = Float32Array.from({ length: 99_991 }, () => level * normal());
    let at = 0;
    const clouds = grain > 1 ? Array.from({ length: 99_991 }, () => level * normal()) : [];
    const data = new Uint8ClampedArray(p.data.length);
    for (let i = 0; i < data.length; i++) {
      at = (at + 7919) % drawn.length;
      const coarse = grain > 1 ? clouds[(Math.floor(i / (3 * grain)) * 31 + (i % 3)) % clouds.length]! : 0;
      data[i] = p.data[i]! + (grain > 1 ? coarse : drawn[at]!);
    }
    return { ...p, data: new Uint8Array(data.buffer) };
  };
const shear =
  (s: number) =>
  (p: Pixels, { k }: Seen): Pixels =>
    warped(p, (x, y) => [x + s * (-1) ** k * (y - p.height / 2), y]);
const bent =
  (k1: number) =>
  (p: Pixels): Pixels => {
    const [cx, cy, r] = [p.width / 2, p.height / 2, Math.hypot(p.width, p.height) / 2];
    return warped(p, (x, y) => {
      const k = 1 + (k1 * ((x - cx) ** 2 + (y - cy) ** 2)) / (r * r);
      return [cx + k * (x - cx), cy + k * (y - cy)];
    });
  };
const bars =
  (x: number, y: number) =>
  (job: Job): Job => ({ ...job, checkBar: job.checkBar! + x, checkBarY: job.checkBarY! + y });
const shots =
  (change: (s: JobShot[]) => JobShot[]) =>
  (job: Job): Job => ({ ...job, shots: change([...job.shots]) });
const swapped = (s: JobShot[]): JobShot[] => {
  const [a, b] = [s[0]!, s[s.length - 1]!];
  return s.map((q) =>
    q === a ? { ...a, up: b.up, front: b.front } : q === b ? { ...b, up: a.up, front: a.front } : q,
  );
};
const cut =
  (left: number, top: number, right: number, bottom: number) =>
  (p: Pixels): Promise<Pixels> =>
    pixelsOf(
      sharpOf(p).extract({
        left: Math.round(left * p.width),
        top: Math.round(top * p.height),
        width: Math.round((1 - left - right) * p.width),
        height: Math.round((1 - top - bottom) * p.height),
      }),
    );

/** Everything that the bench does to a set. */
export const ALTERATIONS: readonly Alteration[] = [
  ...named('as it is', { 'as it is+': {} }),
  ...named('file', {
    'jpeg 95+': { picture: same },
    'jpeg 90+': { picture: same, write: jpeg(90) },
    'jpeg 80+': { picture: same, write: jpeg(80) },
    'jpeg 80, full colour+': { picture: same, write: jpeg(80, { full: true }) },
    'jpeg 70+': { picture: same, write: jpeg(70) },
    'jpeg 60+': { picture: same, write: jpeg(60) },
    'jpeg 40+': { picture: same, write: jpeg(40) },
    'jpeg 25': { picture: same, write: jpeg(25) },
    'jpeg 75, then 80+': { picture: async (p) => decodedPixels(await jpeg(75)(p, NO_EXIF)), write: jpeg(80) },
    'webp 90+': { picture: same, write: webp(90), ending: 'webp' },
    'webp 60+': { picture: same, write: webp(60), ending: 'webp' },
    'tiff+': { picture: same, write: tiff, ending: 'tif' },
    'avif 80+': { picture: same, write: avif, ending: 'avif' },
    'png+': { picture: same, write: png, ending: 'png' },
    'EXIF lost+': { picture: same, write: jpeg(95, { bare: true }) },
  }),
  ...named('size', {
    'three quarters+': { picture: scaled(0.75) },
    'half+': { picture: scaled(0.5) },
    'messenger 2048 q80+': { picture: scaled(1, 2048), write: jpeg(80, { bare: true }) },
    'messenger 1600 q60+': { picture: scaled(1, 1600), write: jpeg(60, { bare: true }) },
    'messenger 1280 q50': { picture: scaled(1, 1280), write: jpeg(50, { bare: true }) },
    'one and a half+': { picture: scaled(1.5, 5000) },
  }),
  ...named(
    'beside',
    Object.fromEntries(
      (['hair', 'thread', 'pencil', 'dust', 'crumb', 'fluff', 'coffee', 'paper'] as const).map((m) => [
        `${m}+`,
        { picture: mark(m) },
      ]),
    ),
  ),
  ...named('light', {
    'soft shadow beside+': { picture: mark('shadow') },
    'hard shadow beside': { picture: mark('shadow-edge') },
    'lamp on the stage+': { picture: mark('lamp') },
    'over-exposed by 0.4 EV+': { picture: (p) => lit(p, (l) => 1.32 * l) },
    'over-exposed by 0.7 EV': { picture: (p) => lit(p, (l) => 1.62 * l) },
    'over-exposed by 1.5 EV': { picture: (p) => lit(p, (l) => 2.8 * l) },
    'under-exposed by 1 EV+': { picture: (p) => lit(p, (l) => l / 2) },
    'under-exposed by 3 EV': { picture: (p) => lit(p, (l) => l / 8) },
    'warm+': { picture: (p) => lit(p, (l, c) => l * [1.1, 1, 0.75][c]!) },
    'contrast 1.2': { picture: (p) => valued(p, (v) => 128 + 1.2 * (v - 128)) },
    'gamma 0.8': { picture: (p) => valued(p, (v) => 255 * (v / 255) ** 0.8) },
    'vignette+': { picture: vignetted },
  }),
  ...named('blur', {
    'motion 1 px+': { picture: (p, { k }) => shaken(p, 1, 0.4 + k) },
    'motion 2 px': { picture: (p, { k }) => shaken(p, 2, 0.4 + k) },
    'motion 3 px, one': { picture: (p, { k }) => (k === 1 ? shaken(p, 3, 0.4) : p) },
    'motion 3 px, all alike': { picture: (p) => shaken(p, 3, 0.4) },
    'motion 6 px': { picture: (p, { k }) => shaken(p, 6, 0.4 + k) },
    'defocus 1 px+': { picture: (p) => defocused(p, 1) },
    'defocus 2 px': { picture: (p) => defocused(p, 2) },
    'defocus 4 px': { picture: (p) => defocused(p, 4) },
  }),
  ...named('noise', {
    'noise 3+': { picture: noise(3) },
    'noise 6+': { picture: noise(6) },
    'noise 12': { picture: noise(12) },
    'noise 25': { picture: noise(25) },
    'grain of 3 px, 6': { picture: noise(6, 3) },
    'hot pixels+': { picture: hotPixels },
  }),
  ...named('processing', {
    'median 3': { picture: (p) => pixelsOf(sharpOf(p).median(3)) },
    'median 5': { picture: (p) => pixelsOf(sharpOf(p).median(5)) },
    bilateral: { picture: (p) => bilateral(p, 3, 60, 3) },
    'portrait, tight': { picture: (p, { outline }) => portrait(p, outline) },
    'portrait, loose': { picture: (p, { outline }) => portrait(p, outline, { off: 12, soft: 6 }) },
    sharpened: { picture: (p) => pixelsOf(sharpOf(p).sharpen({ sigma: 1.2, m1: 1.5, m2: 1.5 })) },
    'sharpened strongly': { picture: (p) => pixelsOf(sharpOf(p).sharpen({ sigma: 2, m1: 4, m2: 4 })) },
    'local contrast': { picture: clarity(12, 0.5) },
    'local contrast, wide': { picture: clarity(40, 0.5) },
    'equalised by tiles': { picture: (p) => pixelsOf(sharpOf(p).clahe({ width: 200, height: 200, maxSlope: 3 })) },
  }),
  ...named('geometry', {
    'shear 0.05 %+': { picture: shear(5e-4) },
    'shear 0.2 %': { picture: shear(2e-3) },
    'turned by 180': {
      picture: (p, { k }) => (k % 2 ? pixelsOf(sharpOf(p).rotate(180)) : p),
      write: jpeg(95, { bare: true }),
    },
    'stretched by 0.3 % in x': { picture: (p) => warped(p, (x, y) => [p.width / 2 + (x - p.width / 2) / 1.003, y]) },
    'lens bent by 2 %+': { picture: bent(0.02) },
    'cut by 4 % all round+': { picture: cut(0.04, 0.04, 0.04, 0.04) },
    'cut by 8 % on one side': { picture: (p, { k }) => cut(k % 2 ? 0.08 : 0, 0, k % 2 ? 0 : 0.08, 0)(p) },
    mirrored: { picture: (p) => pixelsOf(sharpOf(p).flop()) },
  }),
  ...named('print', {
    'bars misread by u+': { job: bars(0.05, -0.05) },
    'bars misread by 3 u': { job: bars(0.15, -0.15) },
    'bars exchanged by 0.7 %': { job: bars(0.35, -0.35) },
    'one bar only+': { job: (job) => ({ ...job, checkBarY: null }) },
    'no bars+': { job: (job) => ({ ...job, checkBar: null, checkBarY: null }) },
  }),
  ...named('entries', {
    'two exchanged': { job: shots(swapped) },
    'two photos only+': { job: shots((s) => s.slice(0, 2)) },
    'one photo only+': { job: shots((s) => s.slice(0, 1)) },
    'another order+': { job: shots((s) => s.reverse()) },
  }),
];

function vignetted(p: Pixels): Pixels {
  const r2 = (p.width / 2) ** 2 + (p.height / 2) ** 2;
  const data = p.data.map((v, i) => {
    const [x, y] = [Math.floor(i / 3) % p.width, Math.floor(i / 3 / p.width)];
    return v * (1 - (0.25 * ((x - p.width / 2) ** 2 + (y - p.height / 2) ** 2)) / r2);
  });
  return { ...p, data };
}

function hotPixels(p: Pixels, { k }: Seen): Pixels {
  const random = seededRandom(k + 5);
  const data = Uint8Array.from(p.data);
  for (let i = 0; i < p.width * p.height * 2e-4; i++)
    data[Math.floor(random() * data.length)] = random() < 0.5 ? 255 : 0;
  return { ...p, data };
}

/** Display values further from their surroundings' mean: what telephones and editors call clarity or HDR. */
function clarity(radius: number, amount: number): (p: Pixels) => Promise<Pixels> {
  return async (p) => {
    const soft = await pixelsOf(sharpOf(p).blur(radius));
    const data = Uint8ClampedArray.from(p.data, (v, i) => v + amount * (v - soft.data[i]!));
    return { ...p, data: new Uint8Array(data.buffer) };
  };
}
