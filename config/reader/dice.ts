/** Photos of whole dice as the reader meets them: every face in sight drawn, photographed and straightened. */
import { TENS } from '../../src/geometry/numbering.ts';
import { dieSolid, type DieKind, type DieSolid } from '../../src/geometry/solid.ts';
import { turnsOf } from '../../src/geometry/symmetry.ts';
import { dot, unitVector, vec3At, type Vec3 } from '../../src/geometry/vec.ts';
import { likeliest, readFace } from '../../src/faces/reader/reader.ts';
import type { Random } from '../../src/maths/random.ts';
import type { Fount } from './founts.ts';
import { setNumber, setPips, someSetting, someSign } from './print.ts';
import { SIDES, somePlace } from './samples.ts';
import { photographed, someLook, someShot, type Look } from './scene.ts';

/** Radius of a face over the die's inradius; its picture's radius in px, as straightened faces have it. */
const FACE = {
  d4: { radius: 1.41, span: 24 },
  d6: { radius: 1, span: 34 },
  d8: { radius: 0.71, span: 24 },
  d10: { radius: 0.66, span: 27 },
  d12: { radius: 0.62, span: 38 },
  d20: { radius: 0.38, span: 24 },
} as const;

/** One photo and what was read of it. */
export interface ReadPhoto {
  readonly kind: DieKind;
  readonly fount: string;
  readonly pips: boolean;
  readonly look: Look;
  /** Faces: slant in degrees, whether the likeliest label was right, its stated chance. */
  readonly faces: readonly { readonly slant: number; readonly right: boolean; readonly chance: number }[];
  /** Stated chance that the likeliest number up (d4: below) is wrong, and whether it is. */
  readonly doubt: number;
  readonly wrong: boolean;
}

/** What a die of the bench is given; what is left out is drawn at random. */
export interface Wish {
  readonly kind: DieKind;
  readonly pips?: boolean;
  readonly worn?: number;
}

/** Draws one photo of a die lying on a face, camera leant up to 25 degrees, and reads it. */
export function readPhoto(random: Random, founts: readonly Fount[], wish: Wish): ReadPhoto {
  const { kind } = wish;
  const pips = wish.pips ?? false;
  const tens = kind === 'd10' && random() < 0.5;
  const solid = dieSolid(kind, tens ? TENS : undefined);
  const setting = someSetting(founts, random);
  const spot = { size: 0.12 + 0.1 * random(), mirrored: random() < 0.5 };
  const look = { ...someLook(random), ...(wish.worn === undefined ? {} : { worn: wish.worn }) };
  const shot = someShot(random);
  const inradius = 80 * Math.exp(random());
  const down = Math.floor(random() * solid.labels.length);
  const view = someView(random, solid, down);
  const named = kind === 'd4' ? down : solid.opposite[down]!;
  const logo = kind === 'd20' && random() < 0.1;
  const leaning = random() < 0.5 ? 0 : 180;
  const height = 0.5 + 0.5 * random();
  const logs: { face: number; read: NonNullable<ReturnType<typeof readFace>> }[] = [];
  const faces: ReadPhoto['faces'][number][] = [];
  solid.labels.forEach((label, face) => {
    const slant = (Math.acos(Math.min(1, dot(vec3At(solid.normals, face), view))) * 180) / Math.PI;
    if (slant > 80) return;
    const marked = label === '6' || label === '9' ? kind !== 'd6' && kind !== 'd8' : false;
    const print = pips ? setPips(Number(label), spot.size, spot.mirrored) : logo && label === '20' ? someSign(setting, random) : setNumber(label, setting, marked); // prettier-ignore
    const n = { d4: 3, d6: 4, d8: 3, d10: 1, d12: 5, d20: 3 }[kind];
    const turn = (360 * Math.floor(n * random())) / n + (kind === 'd6' ? 0 : leaning) + 6 * (random() - 0.5);
    const place = somePlace(random, kind, print, (turn * Math.PI) / 180, height);
    const own = {
      ...shot,
      slant,
      radius: inradius * FACE[kind].radius,
      towards: 6.283 * random(),
      turned: 6.283 * random(),
    };
    const read = readFace(photographed(random, look, own, print, place, SIDES[kind], FACE[kind].span), kind);
    if (!read) return;
    logs.push({ face, read });
    const best = likeliest(read);
    faces.push({ slant, right: best.label === (logo && label === '20' ? 'other' : label), chance: best.chance });
  });
  return { kind, fount: setting.fount.name, pips, look, faces, ...joint(kind, logs, solid, named) };
}

/** Direction of the camera: the die lies on a face drawn at random, the camera stands up to 25 degrees off upright. */
function someView(random: Random, solid: DieSolid, lowest: number): Vec3 {
  const down = vec3At(solid.normals, lowest);
  const lean = Math.tan((25 * Math.sqrt(random()) * Math.PI) / 180);
  const other = unitVector([random() - 0.5, random() - 0.5, random() - 0.5]);
  const off = dot(other, down);
  const across = unitVector([other[0] - off * down[0], other[1] - off * down[1], other[2] - off * down[2]]);
  return unitVector([-down[0] + lean * across[0], -down[1] + lean * across[1], -down[2] + lean * across[2]]);
}

/** The likeliest number of the face that names the photo, over the die's turns onto itself and (d10) both ways to count. */
function joint(
  kind: DieKind,
  logs: readonly { face: number; read: NonNullable<ReturnType<typeof readFace>> }[],
  solid: DieSolid,
  named: number,
) {
  const solids = kind === 'd10' ? [dieSolid('d10'), dieSolid('d10', TENS)] : [solid];
  const all = solids.flatMap((s) =>
    turnsOf(s).map((turn) => {
      let log = 0;
      for (const { face, read } of logs) {
        const label = s.labels[turn.faces[face]!]!;
        // The highest number may be a sign.
        const sign = Number(label) === solid.labels.length ? 0.1 * Math.exp(read.other) : 0;
        log += Math.log(Math.exp(read.labelLogs[read.labels.indexOf(label)]!) + sign);
      }
      return { log, label: s.labels[turn.faces[named]!]! };
    }),
  );
  const top = Math.max(...all.map((h) => h.log));
  const chances = new Map<string, number>();
  for (const { log, label } of all) chances.set(label, (chances.get(label) ?? 0) + Math.exp(log - top));
  const sum = [...chances.values()].reduce((s, c) => s + c, 0);
  const [label, chance] = [...chances].reduce((a, b) => (b[1] > a[1] ? b : a));
  return { doubt: Math.max(0, 1 - chance / sum), wrong: label !== solid.labels[named] };
}
