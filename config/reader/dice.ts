/** Sets of photos of whole dice as the program meets them: every face in sight drawn, photographed, straightened, and read together. */
import type { FoundPose } from '../../src/fit/pose-search.ts';
import { faceFrames, FACE_TURNS } from '../../src/faces/face-frame.ts';
import type { FacePicture } from '../../src/faces/face-picture.ts';
import { faceLooks, SIGHT, type Sight } from '../../src/faces/face-sight.ts';
import { readTogether } from '../../src/faces/numbers.ts';
import { likeliest, readFace, type FaceReading } from '../../src/faces/reader/reader.ts';
import { turnTable } from '../../src/faces/turn-table.ts';
import { TENS } from '../../src/geometry/numbering.ts';
import { dieSolid, type DieKind, type DieSolid } from '../../src/geometry/solid.ts';
import { cross, dot, minus, norm, scaled, unitVector, vec3At, type Vec3 } from '../../src/geometry/vec.ts';
import { seededRandom, type Random } from '../../src/maths/random.ts';
import type { Fount } from './founts.ts';
import { setNumber, setPips, someSetting, someSign, type Printed } from './print.ts';
import { SIDES, somePlace } from './samples.ts';
import { grooved, someLook, someShot, type Look, type Place, type Shot } from './looks.ts';
import { photographed } from './scene.ts';

/** Radius of a face over the die's inradius; its picture's radius in px, as straightened faces have it. */
const FACE = {
  d4: { radius: 1.41, span: 24 },
  d6: { radius: 1, span: 34 },
  d8: { radius: 0.71, span: 24 },
  d10: { radius: 0.66, span: 27 },
  d12: { radius: 0.62, span: 38 },
  d20: { radius: 0.38, span: 24 },
} as const;

/** As `face-picture.ts` straightens. */
const SAMPLES = 2;

/** One photo and what was read of it. */
export interface ReadPhoto {
  readonly kind: DieKind;
  readonly fount: string;
  readonly pips: boolean;
  readonly look: Look;
  /** Faces: slant in degrees, whether the likeliest label of each by itself was right, its stated chance. */
  readonly faces: readonly { readonly slant: number; readonly right: boolean; readonly chance: number }[];
  /** Whether the number up (d4: below) was told from this photo alone and from all of its set together; null where it was left open. */
  readonly alone: boolean | null;
  readonly together: boolean | null;
  /** Stated chance that the likeliest number up is wrong, all photos together, whether it was told or not; and whether it is right. */
  readonly chance: number;
  readonly likeliest: boolean;
}

/** What a die of the bench is given; what is left out is drawn at random. */
export interface Wish {
  readonly kind: DieKind;
  readonly pips?: boolean;
  readonly worn?: number;
  /** Whether print lies flat on the skin, so that nothing is left to see where its ink is gone. */
  readonly flat?: boolean;
  /** Whether a d4 bears three numbers on each face, one near each corner. */
  readonly corners?: boolean;
}

/** A face of a die of the bench: what is printed where, and the seed of its texture and wear. */
interface DrawnFace {
  readonly print: Printed;
  readonly place: Place;
  readonly seed: number;
  /** What is right to read there. */
  readonly label: string;
}

/** A die of the bench and its photos, as they are before anything is read. */
export interface DrawnSet {
  readonly kind: DieKind;
  readonly fount: string;
  readonly pips: boolean;
  readonly look: Look;
  readonly shot: Shot;
  /** What is right to read on each face, in the solid's order. */
  readonly labels: readonly string[];
  readonly photos: readonly { readonly sight: Sight; readonly way: number }[];
}

/** Draws so many photos of one die lying on faces drawn at random, cameras leant up to 25 degrees. */
export function drawnSet(random: Random, founts: readonly Fount[], wish: Wish, photos: number): DrawnSet {
  const { kind } = wish;
  const pips = wish.pips ?? false;
  const tens = kind === 'd10' && random() < 0.5;
  const solid = dieSolid(kind);
  const setting = someSetting(founts, random);
  const drawn = { ...legibleLook(random), ...(wish.worn === undefined ? {} : { worn: wish.worn }) };
  const look = drawn.worn > 0 && !wish.flat ? grooved(drawn, random) : drawn;
  const number = (n: string) => printed(tens ? TENS_OF(n) : n, kind, setting, random);
  const faces = wish.corners
    ? cornerFaces(random, solid, setting)
    : drawnFaces(random, kind, solid, pips ? null : number, pips);
  const shot = someShot(random);
  return {
    ...{ kind, fount: setting.fount.name, pips, look, shot, labels: faces.map((f) => f.label) },
    photos: Array.from({ length: photos }, (_, i) => photographedDie(random, kind, solid, faces, look, shot, i)),
  };
}

/** Draws so many photos of one die, and reads them. */
export const readSet = (random: Random, founts: readonly Fount[], wish: Wish, photos: number): ReadPhoto[] =>
  readDrawn(drawnSet(random, founts, wish, photos));

/** Reads the photos of a drawn die, all together and each by itself. */
export function readDrawn({ kind, fount, pips, look, labels, photos }: DrawnSet): ReadPhoto[] {
  const solid = dieSolid(kind);
  const table = turnTable(solid);
  const read = remembered();
  const together = readTogether(
    kind,
    null,
    photos.map((p) => p.sight),
    read,
  );
  return photos.map(({ sight, way }, i) => {
    const up = solid.labels[table.face[way * table.faces]!]!;
    const told = (n: typeof together, k: number): boolean | null => {
      const { up: said } = n.photos[k]!;
      return said === null ? null : said === up;
    };
    const alone = readTogether(kind, null, [sight], read);
    return {
      ...{ kind, fount, pips, look },
      faces: sight.pictures.map((p) => {
        const best = likeliest(read(p, kind)!);
        const label = labels[table.face[way * table.faces + p.face]!]!;
        return { slant: (Math.acos(p.slant) * 180) / Math.PI, right: best.label === label, chance: best.chance };
      }),
      alone: told(alone, 0),
      together: told(together, i),
      chance: together.photos[i]!.likely.chance,
      likeliest: together.photos[i]!.likely.up === up,
    };
  });
}

/** How far ink lies off every mixture of its skin's colours, roots of light over three channels: print is made to be seen against all of them. */
export const LEGIBLE = 0.2;

function legibleLook(random: Random): Look {
  for (;;) {
    const look = someLook(random);
    if (look.texture === 'plain' || look.texture === 'speckled' || offMixtures(look) >= LEGIBLE) return look;
  }
}

/** Distance of the ink's colour from the line between the skin's two. */
function offMixtures({ skin, second, ink }: Look): number {
  const line = minus(second, skin);
  const off = minus(ink, skin);
  const share = Math.min(1, Math.max(0, dot(off, line) / Math.max(1e-9, dot(line, line))));
  return norm(minus(off, scaled(line, share)));
}

const TENS_OF = (label: string): string => (Object.keys(TENS).includes(`${label}0`) ? `${label}0` : label);

function printed(label: string, kind: DieKind, setting: ReturnType<typeof someSetting>, random: Random) {
  const sign = kind === 'd20' && label === '20' && random() < 0.1;
  const marked = label === '6' || label === '9' ? kind !== 'd6' && kind !== 'd8' : false;
  return { label: sign ? 'other' : label, print: sign ? someSign(setting, random) : setNumber(label, setting, marked) };
}

function drawnFaces(
  random: Random,
  kind: DieKind,
  solid: DieSolid,
  number: ((label: string) => { readonly label: string; readonly print: Printed }) | null,
  pips: boolean,
): DrawnFace[] {
  const spot = { size: 0.12 + 0.1 * random(), mirrored: random() < 0.5 };
  const leaning = random() < 0.5 ? 0 : 180;
  const height = 0.5 + 0.5 * random();
  const n = FACE_TURNS[kind];
  return solid.labels.map((name) => {
    const { label, print } =
      pips || !number ? { label: name, print: setPips(Number(name), spot.size, spot.mirrored) } : number(name);
    const turn = (360 * Math.floor(n * random())) / n + (kind === 'd6' ? 0 : leaning) + 6 * (random() - 0.5);
    const place = somePlace(random, kind, print, (turn * Math.PI) / 180, height);
    return { label, print, place, seed: Math.floor(1e9 * random()) };
  });
}

/** Faces of a d4 that bear a number near each corner, the same on all faces that meet there: that of the face across. Tops point to it or from it. */
function cornerFaces(random: Random, solid: DieSolid, setting: ReturnType<typeof someSetting>): DrawnFace[] {
  const out = 0.7 + 0.3 * random();
  const height = 0.4 + 0.25 * random();
  const way = random() < 0.7 ? 1 : -1;
  const frames = faceFrames(solid);
  return solid.labels.map((label, f) => {
    const prints = frames[f]!.corners.map((c, k) => {
      const across = solid.labels.find((_, g) => !solid.corners[c]!.faces.includes(g))!;
      const angle = (2 * Math.PI * k) / 3;
      const [ux, uy] = [-Math.sin(angle), Math.cos(angle)];
      const { print } = setNumber(across, setting, false);
      return (x: number, y: number): number => {
        const [dx, dy] = [x - out * ux, y - out * uy];
        if (dx * dx + dy * dy > height * height) return -1;
        return height * print((way * (dx * uy - dy * ux)) / height, (way * (dx * ux + dy * uy)) / height);
      };
    });
    const print: Printed = { print: (x, y) => Math.max(...prints.map((p) => p(x, y))), half: [1.5, 1.5] };
    return { label, print, place: { height: 1, x: 0, y: 0, turn: 0 }, seed: Math.floor(1e9 * random()) };
  });
}

/** One photo of the die: the first slot is up (d4: down), its faces fill the slots by a way drawn at random. */
function photographedDie(
  random: Random,
  kind: DieKind,
  solid: DieSolid,
  faces: readonly DrawnFace[],
  look: Look,
  shown: ReturnType<typeof someShot>,
  photo: number,
): { readonly sight: Sight; readonly way: number } {
  const table = turnTable(solid);
  const way = Math.floor(table.ways * random());
  const up = kind === 'd4' ? -1 : 1;
  const z = scaled(vec3At(solid.normals, 0), up);
  const x = unitVector(cross(z, unitVector([random() - 0.5, random() - 0.5, random() - 0.5])));
  const y = cross(z, x);
  const lean = (25 * Math.sqrt(random()) * Math.PI) / 180;
  const inradius = 80 * Math.exp(random());
  const view = (n: Vec3): number => Math.sin(lean) * -dot(n, y) + Math.cos(lean) * dot(n, z);
  const normals = solid.labels.map((_, s): Vec3 => {
    const n = vec3At(solid.normals, s);
    return [dot(n, x), dot(n, y), dot(n, z)];
  });
  const { span, radius } = FACE[kind];
  const pictures = solid.labels.flatMap((_, slot): FacePicture[] => {
    const slant = view(vec3At(solid.normals, slot));
    if (slant < SIGHT.slant) return [];
    const { print, place, seed } = faces[table.face[way * table.faces + slot]!]!;
    const frame = (2 * Math.PI * table.turn[way * table.faces + slot]!) / FACE_TURNS[kind];
    const shot = {
      ...shown,
      radius: inradius * radius,
      slant: (Math.acos(Math.min(1, slant)) * 180) / Math.PI,
      towards: 6.283 * random(),
      turned: 6.283 * random(),
    };
    const pixels = photographed(
      random,
      look,
      shot,
      print,
      place,
      SIDES[kind],
      span,
      seededRandom(seed),
      frame,
      SAMPLES,
    );
    const px = shot.radius / span;
    return [{ ...pixels, face: slot, photo, umPerPx: 1, slant: Math.min(1, slant), photoPx: [px * slant, px] }];
  });
  pictures.sort((a, b) => b.slant - a.slant);
  const given = { photo: String(photo), given: null };
  const looks = faceLooks(pictures, kind, photo);
  return { sight: { given, pose: NO_POSE, normals, pictures, readings: [], read: 0, looks }, way };
}

/** Reading hangs on no pose once faces are straightened. */
const NO_POSE: FoundPose = {
  pose: { size: 1, radius: 0, x: 0, y: 0, yaw: 0 },
  cost: 0,
  misfit: 0,
  rows: {
    residual: new Float64Array(),
    jacobian: new Float64Array(),
    scale: new Float64Array(),
    first: new Int32Array(),
    second: new Int32Array(),
    height: new Float64Array(),
    normal: new Float64Array(),
  },
};

/** A reader that looks at each picture once; a sight's readings are its own. */
function remembered(): (picture: FacePicture, kind: DieKind) => FaceReading | null {
  const known = new Map<FacePicture, FaceReading | null>();
  return (picture, kind) => {
    if (!known.has(picture)) known.set(picture, readFace(picture, kind));
    return known.get(picture)!;
  };
}
