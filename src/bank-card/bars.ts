import { BANK_CARD, BANK_CARD_MAKE } from './size.ts';
import { moved, projection, turnedBack, type Rigid } from '../geometry/camera.ts';
import { CARD } from '../geometry/card.ts';
import { failure, success, type Result } from '../result.ts';
import { bankCardSides, normalOf, nothingBeside, type SideLine } from './search.ts';
import { fittedSide, SIDE_FIT, type FittedSide } from './side.ts';
import { stageLike, type Printed } from './print.ts';
import { lightAt, type Shown } from './steps.ts';
import { bowHeight, calibration, CARD_POINTS_NEEDED, type Calibration } from '../vision/calibration.ts';
import { cardMap } from '../vision/card-map.ts';
import type { Picture } from '../vision/picture.ts';
import { saddlePoints, type CardSight } from '../vision/saddles.ts';
import { cardFault, MARKERS_NEEDED, markersIn } from '../vision/survey.ts';
import { bankDoubt, type BankDoubt } from './doubt.ts';
import type { BankFault } from './messages.ts';
import { asStored, uprightPlaces } from '../photo/orientation.ts';
import type { MeasurePhoto } from '../formats/result.ts';

export const BANK_LIMITS = {
  /** Fewest px per mm: below, a tenth of a px is more than a hundredth of a millimetre. */
  scale: 8,
  /** Most that the camera may stand away from straight above, degrees: beyond, the bank card's own side is in sight. */
  lean: 12,
  /** Most that the sides may stray from a rectangle, degrees. */
  square: 0.5,
  /** Most that a side's points may stray from its line, mm, and px where that is more. */
  scatter: 0.1,
  scatterPx: 1.2,
} as const;

/** What a photo of a bank card on the printed card's stage says of the print. */
export interface BankCardBars {
  /** Lengths of the check bars, and the standard uncertainty of the less certain one, mm. */
  readonly x: number;
  readonly y: number;
  readonly u: number;
  /** The uncertainty of both by source. */
  readonly doubt: BankDoubt;
  /** Camera from straight above, degrees; px per mm. */
  readonly lean: number;
  readonly scale: number;
  /** Whether the photo's own data state the focal length. */
  readonly focalStated: boolean;
  /** Size of the upright photo, px. */
  readonly width: number;
  readonly height: number;
  /** Where the sides' lines meet in the upright photo, px: [u, v] top right, top left, bottom left, bottom right as the card is read. */
  readonly corners: readonly number[];
}

/** What the first, coarse look at the photo gives. */
interface Sighted {
  readonly picture: Picture;
  readonly sight: CardSight;
  readonly focal: number | null;
  readonly scale: number;
  readonly stage: Printed;
  readonly sides: readonly SideLine[];
}

/** Rounds of scale and camera: each leaves a hundredth of the error before. */
const ROUNDS = 4;

/**
 * Lengths of the printed check bars from a photo of a bank card on the stage, its long side along the ring's, seen from above.
 *
 * The ring gives the camera as if printed to size, the bank card's four sides what the print's size is; with that the camera is taken anew.
 * What is outlined is the bank card's upper rim, 0.76 mm nearer to the camera than the print.
 */
export function bankCardBars(photo: MeasurePhoto): Result<BankCardBars, BankFault> {
  const { picture, orientation } = asStored(photo.picture, photo.orientation ?? 1);
  const sighted = sightOf(picture, photo.focal);
  if (!sighted.ok) return sighted;
  const found = fitted(sighted.value);
  if (!found.ok) return found;
  const { view, sides, printed } = found.value;
  const uneven = unevenness(sides, view.scale);
  if (uneven) return failure(uneven);
  const doubt = bankDoubt({ sides, walls: sides.map((_, k) => wall(view, k, sides[k]!)), focal: photo.focal, ...view });
  const [x, y] = [CARD.checkBar * printed[0], CARD.checkBar * printed[1]];
  const corners = rimCorners(view, sides);
  return success({
    x,
    y,
    u: Math.max(doubt.x, doubt.y),
    doubt,
    lean: view.lean,
    scale: view.scale,
    focalStated: photo.focal !== null,
    width: photo.picture.width,
    height: photo.picture.height,
    corners: uprightPlaces(corners, picture, orientation),
  });
}

/** Ring and bank card, coarsely. */
function sightOf(picture: Picture, focal: number | null): Result<Sighted, BankFault> {
  const markers = markersIn(picture);
  if (markers.found.length < MARKERS_NEEDED) return failure(cardFault(markers));
  const sight = saddlePoints(picture, markers.found);
  const points = sight.card.length / 2;
  const map = points < CARD_POINTS_NEEDED ? null : cardMap(sight.card, sight.picture);
  if (!map) return failure({ code: 'card-points', seen: points, needed: CARD_POINTS_NEEDED });
  const at: Shown = (x, y) => map.at(x, y);
  const scale = leastScale(at);
  if (scale < BANK_LIMITS.scale)
    return failure({ code: 'bank-small', seen: scale.toFixed(1), needed: BANK_LIMITS.scale });
  if (cut(at, picture)) return failure({ code: 'bank-cut' });
  const stage = stageLike((x, y) => lightAt(picture, ...at(x, y)));
  const sides = bankCardSides(picture, at, { scale, stage });
  return sides.ok ? success({ picture, sight, focal, scale, stage, sides: sides.value }) : sides;
}

/** px per mm at the stage's centre, in the direction in which there are fewest. */
function leastScale(at: Shown): number {
  const along = (dx: number, dy: number): number => {
    const [a, b] = [at(dx, dy), at(-dx, -dy)];
    return Math.hypot(a[0] - b[0], a[1] - b[1]) / 2;
  };
  return Math.min(along(1, 0), along(0, 1));
}

/** Whether a bank card in the middle of the stage would reach beyond the picture. */
const cut = (at: Shown, { width, height }: Picture): boolean =>
  [-1, 1].some((i) =>
    [-1, 1].some((j) => {
      const [u, v] = at((i * BANK_CARD.width) / 2, (j * BANK_CARD.height) / 2);
      return u < 0 || v < 0 || u > width - 1 || v > height - 1;
    }),
  );

/** The camera over the card, as far as heights ask for it. */
export interface View {
  readonly calibration: Calibration;
  /** Where the camera stands, mm, card frame. */
  readonly eye: readonly [number, number, number];
  readonly lean: number;
  readonly scale: number;
}

interface Fitted {
  readonly view: View;
  readonly sides: readonly FittedSide[];
  /** Printed over designed length. */
  readonly printed: readonly [number, number];
}

function fitted(sighted: Sighted): Result<Fitted, BankFault> {
  const { picture, sight, focal, scale, sides: coarse } = sighted;
  let printed = [
    BANK_CARD.width / (coarse[0]!.offset + coarse[2]!.offset),
    BANK_CARD.height / (coarse[1]!.offset + coarse[3]!.offset),
  ] as readonly [number, number];
  let guess = coarse.map((line, k) => ({ ...line, offset: line.offset * printed[k % 2]! }));
  for (let round = 1; ; round++) {
    const camera = calibration([sight], picture, focal, printed);
    if (!camera.ok) return camera;
    const view = viewOf(camera.value, scale);
    if (round === 1) guess = guess.map((line, k) => ({ ...line, offset: onRim(view, k, line) }));
    if (view.lean > BANK_LIMITS.lean)
      return failure({ code: 'bank-lean', seen: view.lean.toFixed(0), needed: BANK_LIMITS.lean });
    const sides = sidesAt(sighted, view, guess, printed, round < ROUNDS ? SIDE_FIT.reach : SIDE_FIT.lastReach);
    const lost = sides.filter((side) => side === null).length;
    if (lost > 0) return failure({ code: 'bank-none', seen: 4 - lost, needed: 4 });
    const whole = sides as FittedSide[];
    if (round === ROUNDS) return success({ view, sides: whole, printed });
    const grown = [BANK_CARD.width / separation(whole, 0), BANK_CARD.height / separation(whole, 1)] as const;
    printed = [printed[0] * grown[0], printed[1] * grown[1]];
    guess = whole.map(({ turn, offset }, k) => ({ turn, offset: offset * grown[k % 2]! }));
  }
}

/** The sides, each at the height of its rim; null where one is lost. */
const sidesAt = (
  { picture, scale, stage }: Sighted,
  view: View,
  guess: readonly SideLine[],
  printed: readonly [number, number],
  reach: number,
): (FittedSide | null)[] =>
  guess.map((line, k) => {
    const height = rim(view, k, line);
    const even = evenBeside(view, k, line, height, printed, stage);
    return fittedSide(picture, shownAt(view, height), k, line, even, scale, reach);
  });

function viewOf(found: Calibration, scale: number): View {
  const { rotation, shift } = found.cameraFromCard[0] as Rigid;
  const eye = turnedBack(rotation, [-shift[0], -shift[1], -shift[2]]);
  return { calibration: found, eye, scale, lean: (Math.acos(eye[2] / Math.hypot(...eye)) * 180) / Math.PI };
}

/** Where the picture shows places at a height over the print, px. */
const shownAt =
  ({ calibration: { cameras, cameraFromCard, bow } }: View, height: number): Shown =>
  (x, y) =>
    projection(cameras[0]!, moved(cameraFromCard[0]!, [x, y, height + bowHeight(bow, x, y)]));

/** How broad the bank card's own side is seen, mm on its upper face; 0 where the upper rim hides it. */
export function wall({ eye }: View, side: number, { turn, offset }: SideLine): number {
  const [nx, ny] = normalOf(side, turn);
  const beyond = eye[0] * nx + eye[1] * ny - offset;
  const { thickness } = BANK_CARD_MAKE;
  return Math.max(0, (thickness * beyond) / (eye[2] - thickness));
}

/** Height at which a side's outline lies, mm: its upper rim; where the card's own side is in sight, the middle of it. */
const rim = (view: View, side: number, line: SideLine): number =>
  wall(view, side, line) > 0 ? BANK_CARD_MAKE.thickness / 2 : BANK_CARD_MAKE.thickness;

/** Offset of a rim that seems to lie on the print at `line`, mm. */
function onRim({ eye }: View, side: number, { turn, offset }: SideLine): number {
  const [nx, ny] = normalOf(side, turn);
  const spread = eye[2] / (eye[2] - BANK_CARD_MAKE.thickness);
  return (offset + (spread - 1) * (eye[0] * nx + eye[1] * ny)) / spread;
}

/** Whether the print seen beside a side that lies at a height is even at a place along it. */
function evenBeside(
  { eye, scale }: View,
  side: number,
  { turn, offset }: SideLine,
  height: number,
  printed: readonly [number, number],
  stage: Printed,
): (s: number) => boolean {
  // Seen from the eye, what lies higher covers the print as if drawn out from the eye's foot.
  const spread = eye[2] / (eye[2] - height);
  const [nx, ny] = normalOf(side, turn);
  const [across, along] = side % 2 === 0 ? printed : [printed[1], printed[0]];
  const on = { turn, offset: (spread * offset - (spread - 1) * (eye[0] * nx + eye[1] * ny)) / across };
  const shift = (spread - 1) * (eye[1] * nx - eye[0] * ny);
  return (s) => nothingBeside(side, on, (spread * s - shift) / along, { scale, stage });
}

/** Distance between a side and the one opposite, at the middle of the card, mm. */
function separation(sides: readonly FittedSide[], side: number): number {
  const corners = [0, 1, 2, 3].map((k) => meeting(sides, k));
  // Corner k lies between sides k and k + 1; the middles of two opposite sides lie between corners.
  const middle = (a: number, b: number): readonly [number, number] => [
    (corners[a]![0] + corners[b]![0]) / 2,
    (corners[a]![1] + corners[b]![1]) / 2,
  ];
  const [p, q] = side === 0 ? [middle(0, 3), middle(1, 2)] : [middle(0, 1), middle(2, 3)];
  const turn = (sides[side]!.turn + sides[side + 2]!.turn) / 2;
  const [nx, ny] = normalOf(side, turn);
  return (p[0] - q[0]) * nx + (p[1] - q[1]) * ny;
}

/** Where a side meets the next one anticlockwise, mm, card frame. */
function meeting(sides: readonly SideLine[], k: number): readonly [number, number] {
  const [one, next] = [sides[k]!, sides[(k + 1) % 4]!];
  const [a, b] = normalOf(k, one.turn);
  const [c, d] = normalOf(k + 1, next.turn);
  const det = a * d - b * c;
  return [(d * one.offset - b * next.offset) / det, (a * next.offset - c * one.offset) / det];
}

function rimCorners(view: View, sides: readonly SideLine[]): number[] {
  const shown = shownAt(view, BANK_CARD_MAKE.thickness);
  return [0, 1, 2, 3].flatMap((k) => [...shown(...meeting(sides, k))]);
}

/** What keeps four lines from being a flat bank card's, or null. */
function unevenness(sides: readonly FittedSide[], scale: number): BankFault | null {
  const turns = sides.map(({ turn }) => (turn * 180) / Math.PI);
  const crooked = Math.max(...turns) - Math.min(...turns);
  if (crooked > BANK_LIMITS.square)
    return { code: 'bank-uneven', seen: `${crooked.toFixed(1)}°`, needed: `${BANK_LIMITS.square}°` };
  const scatter = Math.max(...sides.map((side) => side.scatter));
  const most = Math.max(BANK_LIMITS.scatter, BANK_LIMITS.scatterPx / scale);
  if (scatter > most) return { code: 'bank-uneven', seen: `${scatter.toFixed(2)} mm`, needed: `${most.toFixed(2)} mm` };
  return null;
}
