import { fitDie, type DieFit } from '../fit/die-fit.ts';
import { crownsSeen } from './crown-doubt.ts';
import { crownPrior } from './finish.ts';
import { HIDDEN_ALIKE } from '../fit/crown-prior.ts';
import { grazedFaces } from '../fit/grazed.ts';
import { seenIn, withCrowns, type DieState } from '../fit/die-state.ts';
import { TAU_USUAL, stretchSigma } from '../fit/doubt.ts';
import { CUT, SHAPE_PRIOR } from '../fit/normal-equations.ts';
import { NO_TAU, type Tau } from '../fit/stretches.ts';
import type { Outline } from '../geometry/outline.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { median } from '../maths/linear.ts';
import type { ShutterCalibration } from '../vision/shutter.ts';
import { faceLights } from '../vision/face-light.ts';
import { LUMA } from '../vision/picture.ts';
import type { Response, Surface } from '../vision/profile.ts';
import { sheenOf, type Sheen } from '../vision/sheen.ts';
import type { Survey } from '../vision/survey.ts';
import type { ToneCurve } from '../vision/tone.ts';
import { cameraResponse, plainest } from './camera-look.ts';
import { roughState, type CoarseStand } from './coarse.ts';
import { FIT_GATES, STRAY, strayShare } from './fit-gates.ts';
import type { Added } from './look.ts';
import type { Measured } from './measured.ts';
import { forEach, type Work } from './photo-tasks.ts';
import { fitPhoto } from './rough-checks.ts';
import { lookStep, movedBlur, movedGlare, type LookStep, type PhotoLook, type RoundResult } from './rounds.ts';
import type { Job, Progress } from '../formats/result.ts';

/** Beliefs about a die's surface before its faces are seen: polished plastic. */
export const SURFACE_PRIOR = { mean: [0.4, 0.7, 0.4], sd: [0.4, 0.4, 0.4] } as const;

/**
 * How much of an even sky's shade lies beside edges on the card is believed to be 1, within this standard deviation: light from one side
 * shades more there, or less.
 */
const SHADE_BELIEF = 0.5;
/** So many pixels of an edge count as one witness of the shade: what the model of the light leaves is alike from one to the next. */
const SHADE_WITNESSES = 10;
const EVEN_SKY = 1;

/** The rounds: how many segments are looked at, whether the whole shape is free, and whether changes by the terms are wanted. */
const ROUNDS = [
  { every: 4, free: 'size', steps: 6 },
  { every: 4, free: 'whole', steps: 4 },
  { every: 2, free: 'whole', steps: 4 },
  { every: 1, free: 'whole', steps: 3 },
] as const;
/** The rounds where a photo grazes a face: a crown moves the light beside it by more than one look follows. */
const GRAZING_ROUNDS = [
  ...ROUNDS.slice(0, 2),
  { every: 2, free: 'whole', steps: 4 },
  { every: 2, free: 'whole', steps: 4 },
  { every: 2, free: 'whole', steps: 4 },
  { every: 1, free: 'whole', steps: 3 },
] as const;

interface Round {
  readonly every: number;
  readonly free: 'size' | 'whole';
  readonly steps: number;
  /** How many times further off than usual a point may lie before it counts less. */
  readonly wide?: number;
}
/**
 * The rounds that are put in before the last where much of the outline strays (a rough outline that was bent by a mark, blocks or shade leads to a
 * shape that part of the points agree with): far points draw again.
 */
const RECOVERY: readonly Round[] = [
  { every: 2, free: 'whole', steps: 8, wide: 12 },
  { every: 2, free: 'whole', steps: 6, wide: 4 },
  { every: 2, free: 'whole', steps: 4 },
];

/** Crown from which a grazing face's own is sought, mm: a flat one would show no way up. */
const FIRST_CROWN = 0.03;

/** Photos from which crowns are sought: with two alone, distances are free to make them (98 um on a flat d10's axes). */
const CROWN_PHOTOS = 3;

/** Share of the progress bar that the rounds take. */
const ROUNDS_FROM = 0.1;

/**
 * Measures and fits a set in rounds. Where photos graze faces their crowns are sought; where these do not stand out of their doubt the die
 * is measured again as flat, so that a grazing view too many takes nothing from a flat die's edges.
 */
export function* rounds(...set: SetOfPhotos): Work<Measured> {
  const found = yield* roundsOf(true, ...set);
  return !found.state.crowns || standOut(found) ? found : yield* roundsOf(false, ...set);
}

type SetOfPhotos = Parameters<typeof roundsOf> extends [boolean, ...infer Rest] ? Rest : never;

/** Crowns stand out where their mean is so many of its standard uncertainties: of what all share, and of each face's own, mm. */
const STANDING_OUT = { times: 2.5, common: HIDDEN_ALIKE, own: 0.02 } as const;

function standOut(m: Measured): boolean {
  const seen = crownsSeen(m);
  const crowns = [...m.state.crowns!].filter((_, f) => seen[f]);
  const { times, common, own } = STANDING_OUT;
  const mean = crowns.reduce((s, b) => s + b, 0) / crowns.length;
  return mean > times * Math.hypot(common, own / Math.sqrt(crowns.length));
}

function* roundsOf(
  seekCrowns: boolean,
  job: Job,
  solid: DieSolid,
  used: readonly Added[],
  coarse: readonly CoarseStand[],
  cal: ShutterCalibration,
  onProgress: (p: Progress) => void,
): Work<Measured> {
  const photos = used.map((a, i) => fitPhoto(cal, a, i));
  const card = cameraResponse(used, plainest(used, coarse));
  const { responseU } = card;
  let response = card.response;
  const prior = { ...SHAPE_PRIOR, crowns: crownPrior(job) };
  let state = roughState(solid, photos, coarse);
  const top = 2 * state.distances[0]!;
  // A photo far blurrier than where it is sought first would not be followed there in the few rounds.
  const starts = card.blurs.map((blur) => ({ low: blur, high: blur, top }));
  const looks: PhotoLook[] = used.map((a, i) => ({
    crop: a.survey.crop,
    blur: starts[i]!,
    noise: { inside: 3, outside: 5 },
    response,
  }));
  let surface: Surface = {
    mirror: SURFACE_PRIOR.mean[0],
    rough: SURFACE_PRIOR.mean[1],
    limb: SURFACE_PRIOR.mean[2],
    shade: EVEN_SKY,
  };
  let sheen: Sheen | null = null;
  let fit: DieFit | null = null;
  let found: RoundResult[] = [];
  let tau: Tau = NO_TAU;
  let list: readonly Round[] = ROUNDS;
  let recovered = false;
  for (let r = 0; r < list.length; r++) {
    const round = list[r]!;
    const last = r === list.length - 1;
    const steps: LookStep[] = [];
    let seen = 0;
    const told = (): void =>
      onProgress({
        stage: 'edges',
        photo: Math.min(seen, photos.length - 1),
        fraction: ROUNDS_FROM + ((1 - ROUNDS_FROM) * (r + seen++ / photos.length)) / list.length,
      });
    told();
    const asked = last ? 'all' : r > 0 ? 'look' : 'nothing';
    const tasks = photos.map((photo, index) => {
      const { crop, response: of, ...look } = looks[index]!;
      const given = {
        state,
        solid,
        photo,
        index,
        look,
        response: plain(of),
        surface,
        every: round.every,
        asked,
      } as const;
      return { crop, given };
    });
    found = yield* forEach('outline', tasks, told);
    found.forEach((one, i) => {
      looks[i]!.noise = one.edges.noise;
      const step = r > 0 && !last ? lookStep(looks[i]!.blur, one.edges, starts[i]!) : null;
      if (step) {
        looks[i]!.blur = movedBlur(looks[i]!.blur, step);
        steps.push(step);
      }
      if (state.crowns && !last) looks[i]!.glare = movedGlare(looks[i]!.glare, one.edges, solid.labels.length);
    });
    if (r > 1 && steps.length > 0) {
      response = { ...response, sharpening: sharpened(response.sharpening, card.response.sharpening, steps) };
      for (const l of looks) l.response = response;
    }
    if (!last && r > 0) surface = { ...surface, shade: shaded(surface.shade, found) };
    onProgress({ stage: 'fit', photo: null, fraction: ROUNDS_FROM + ((1 - ROUNDS_FROM) * (r + 0.95)) / list.length });
    if (r === 1) state = unevened(state);
    const outlines = loosened(found, looks);
    if (r > 0) tau = TAU_USUAL;
    const cut = CUT * (round.wide ?? 1);
    fit = fitDie(state, photos, outlines, { prior, free: round.free, steps: round.steps, cut, tau });
    state = fit.state;
    if (!recovered && r === list.length - 2 && strayShare(state, photos, outlines) > STRAY.share) {
      recovered = true;
      list = [...list.slice(0, r + 1), ...RECOVERY, ...list.slice(r + 1)];
      response = card.response;
      looks.forEach((look, i) => Object.assign(look, { blur: starts[i]!, response }));
    }
    if (r < 2) {
      const now = state;
      const lights = photos.flatMap((p, i) =>
        faceLights(
          looks[i]!.crop,
          seenIn(now, p, i),
          solid,
          p.camera,
          p.cameraFromCard,
          response.tone,
          used[i]!.survey.stage.map(response.tone.toLight),
          paperOverStage(used[i]!.survey, response.tone),
          i,
        ),
      );
      sheen = sheenOf(lights, SURFACE_PRIOR);
      surface = { ...sheen, shade: surface.shade };
    }
    if (r === 1 && seekCrowns && photos.length >= CROWN_PHOTOS && grazedFaces(state, photos).some(Boolean)) {
      list = GRAZING_ROUNDS;
      state = withCrowns(state, new Float64Array(solid.labels.length).fill(FIRST_CROWN));
    }
  }
  const outlines = loosened(found, looks);
  found = found.map((f, i) => ({ ...f, outline: outlines[i]! }));
  for (let again = 0; again < 2; again++) {
    tau = stretchSigma(state, photos, outlines, CUT);
    fit = fitDie(state, photos, outlines, { prior, free: 'whole', steps: 40, cut: CUT, tau });
    state = fit.state;
  }
  return {
    job,
    solid,
    state,
    fit: fit!,
    photos,
    used,
    looks,
    rounds: found,
    calibration: cal,
    sheen: sheen!,
    response,
    responseU,
    tau,
    prior,
  };
}

const plain = ({ sharpening, radius, plane, colourBlur }: Response): Omit<Response, 'tone'> => ({
  ...{ sharpening, radius, plane, colourBlur },
});

/** A photo's outline may lie off as much further as it is blurrier than the set at large, or than what is usual: that blur is no Gaussian. */
function loosened(found: readonly RoundResult[], looks: readonly PhotoLook[]): Outline[] {
  const blurs = looks.map(({ blur }) => Math.max(blur.low, blur.high));
  const usual = Math.max(FIT_GATES.blur, median(blurs));
  return found.map(({ outline }, i) => (blurs[i]! > usual ? { ...outline, loose: (blurs[i]! / usual) ** 2 } : outline));
}

/** How bright the card's paper is over the stage; 1 where no edge of the card's print was clear enough to tell. */
function paperOverStage({ spread, stage }: Survey, tone: ToneCurve): number {
  if (!spread) return 1;
  const luma = stage.reduce((s, v, c) => s + LUMA[c]! * v, 0);
  return Math.max(1, tone.toLight(spread.white) / Math.max(1e-3, tone.toLight(luma)));
}

/** How far a die's own edges may depart from the sharpening that the card's printed edges show, one standard deviation. */
const SHARPENING_BELIEF = 0.15;

/**
 * Sharpening as all photos' edges want it, drawn to the card's.
 *
 * A print's own edge is soft and spreads into the white, so that the card alone shows less than there is.
 */
function sharpened(now: number, card: number, steps: readonly LookStep[]): number {
  const w = 1 / SHARPENING_BELIEF ** 2;
  let [sum, weight] = [w * (card - now), w];
  for (const s of steps) {
    sum += s.weight * s.sharpening;
    weight += s.weight;
  }
  return now + Math.max(-0.4, Math.min(0.4, sum / weight));
}

/** The shade's strength as all photos' edges want it, drawn to an even sky's. */
function shaded(now: number, found: readonly RoundResult[]): number {
  const w = 1 / SHADE_BELIEF ** 2;
  let [sum, weight] = [w * (EVEN_SKY - now), w];
  for (const { edges } of found) {
    sum += edges.shade.gradient / SHADE_WITNESSES;
    weight += edges.shade.information / SHADE_WITNESSES;
  }
  return Math.max(0, now + sum / weight);
}

/** Planes that meet in one point have no derivative there: moves the faces of a true die by micrometres, the same way each time. */
function unevened(state: DieState): DieState {
  return { ...state, distances: state.distances.map((d, i) => d + 0.002 * Math.sin(1 + 2.4 * i)), radii: state.radii };
}
