import { fitDie, type DieFit } from '../fit/die-fit.ts';
import { crownsSeen } from './crown-doubt.ts';
import { crownPrior, crownPriorOf, mostCrown } from './finish.ts';
import { HIDDEN_ALIKE } from '../fit/crown-prior.ts';
import { elevations, grazedFaces } from '../fit/grazed.ts';
import { seenIn, withCrowns, type DieState, type FitPhoto } from '../fit/die-state.ts';
import { stretchSigma } from '../fit/doubt.ts';
import { CUT, SHAPE_PRIOR, type ShapePrior } from '../fit/normal-equations.ts';
import { NO_TAU, type Tau } from '../fit/stretches.ts';
import type { Outline } from '../geometry/outline.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { median } from '../maths/linear.ts';
import type { ShutterCalibration } from '../vision/shutter.ts';
import type { Blur } from '../vision/edge-set.ts';
import { LUMA } from '../vision/picture.ts';
import type { Response, Surface } from '../vision/profile.ts';
import { sheenOf, type Sheen } from '../vision/sheen.ts';
import { glareOver, sheenWithSlivers } from '../vision/sliver-sheen.ts';
import { sliversOf } from './slivers.ts';
import type { Survey } from '../vision/survey.ts';
import type { ToneCurve } from '../vision/tone.ts';
import { cameraResponse, plainest, type CameraResponse } from './camera-look.ts';
import { roughState, type CoarseStand } from './coarse.ts';
import { FIT_GATES, STRAY, strayShare } from './fit-gates.ts';
import type { Added } from './look.ts';
import type { Measured } from './measured.ts';
import { forEach, type Work } from './photo-tasks.ts';
import { proudMarks } from './proud-marks.ts';
import { fitPhoto } from './rough-checks.ts';
import { lookStep, movedBlur, movedGlare, type LookStep, type PhotoLook, type RoundResult } from './rounds.ts';
import { CROWNED, FIRST, LAST, MOST_ROUNDS, NEARER, RECOVERY, SETTLING, type Round } from './round-plan.ts';
import { soFarOf } from './so-far.ts';
import type { Job, Progress, SoFar } from '../formats/result.ts';
import type { Mm } from '../units.ts';

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

/** Sharpening that a card's own soft print hides: edges of nine of ten flat dice wanted 0.12 to 0.22 more of it than their cards had shown. */
const PRINT_HIDES = 0.15;

/** Crown from which a grazing face's own is sought, mm: a flat one would show no way up. */
const FIRST_CROWN = 0.03;

/** Photos from which crowns are sought: with two alone, distances are free to make them (98 um on a flat d10's axes). */
const CROWN_PHOTOS = 3;

/** Share of the progress bar that the rounds take. */
const ROUNDS_FROM = 0.1;

/** What stays as it is while a set's rounds go on. */
interface SetOfPhotos {
  readonly job: Job;
  readonly solid: DieSolid;
  readonly used: readonly Added[];
  readonly photos: readonly FitPhoto[];
  readonly calibration: ShutterCalibration;
  readonly card: CameraResponse;
  readonly prior: ShapePrior;
  /** Per photo: the blur that is believed before its edges are seen. A photo far blurrier than where it is sought first would not be followed there in the few rounds. */
  readonly starts: readonly Blur[];
  readonly onProgress: (p: Progress) => void;
}

/** Where the rounds have come to; a round makes a new one, so that two ways may go on from the same place. */
interface Place {
  readonly state: DieState;
  readonly fit: DieFit | null;
  readonly looks: readonly PhotoLook[];
  readonly found: readonly RoundResult[];
  readonly response: Response;
  readonly surface: Surface;
  readonly sheen: Sheen | null;
  readonly tau: Tau;
  readonly round: number;
}

/**
 * Measures and fits a set in rounds. Where photos graze faces their crowns are sought; where these do not stand out of their doubt the die
 * goes on as flat from where they were put in, so that a grazing view too many takes nothing from a flat die's edges.
 */
export function* rounds(...of: SetGiven): Work<Measured> {
  const { set, first } = setOf(...of);
  const { job, onProgress } = set;
  const begun = yield* played(set, startOf(set, first), FIRST);
  const soFar = (): SoFar | null => soFarOf(measuredAt(set, begun));
  onProgress({ stage: 'fit', photo: null, fraction: fractionAt(begun.round), soFar });
  const { crowned, hinted } = grazes(set, begun) ? yield* soughtCrowns(set, begun) : NO_CROWNS;
  const mean = crowned ? meanCrown(crowned.state, crownsSeen(crowned)) : 0;
  const likely = crowned && mean < mostCrown(crownPriorOf(job, crowned.state));
  if (likely) return crowned;
  const flat = yield* ended(set, yield* nearer(set, begun, [NEARER]));
  return { ...flat, ...(crowned ? { unlikelyCrown: mean } : {}), ...(hinted ? { crownHint: true } : {}) };
}

/** What was found of crowns: the die with them, where they stand out, and whether there was more of them than chance and light make of none. */
interface SoughtCrowns {
  readonly crowned: Measured | null;
  readonly hinted: boolean;
}
const NO_CROWNS: SoughtCrowns = { crowned: null, hinted: false };

/** What a set's rounds are played with. */
type SetGiven = readonly [
  job: Job,
  solid: DieSolid,
  used: readonly Added[],
  coarse: readonly CoarseStand[],
  calibration: ShutterCalibration,
  onProgress: (p: Progress) => void,
];

/** What the first rounds alone say of a set; null where that is nothing. */
export function* firstRounds(...of: SetGiven): Work<SoFar | null> {
  const { set, first } = setOf(...of);
  return soFarOf(measuredAt(set, yield* played(set, startOf(set, first), FIRST)));
}

/** The set as it stays while rounds go on, and the die that its coarse stands show. */
function setOf(...[job, solid, used, coarse, calibration, onProgress]: SetGiven): {
  set: SetOfPhotos;
  first: DieState;
} {
  const card = cameraResponse(used, plainest(used, coarse));
  const photos = used.map((a, i) => fitPhoto(calibration, a, i));
  const prior = { ...SHAPE_PRIOR, crowns: crownPrior(job) };
  const first = roughState(solid, photos, coarse);
  const top = 2 * first.distances[0]!;
  const starts = card.blurs.map((blur) => ({ low: blur, high: blur, top }));
  return { set: { job, solid, used, photos, calibration, card, prior, starts, onProgress }, first };
}

/** Whether some face is seen edge-on, in enough photos that distances alone cannot make its crown. */
const grazes = ({ photos }: SetOfPhotos, { state }: Place): boolean =>
  photos.length >= CROWN_PHOTOS && grazedFaces(state, photos).some(Boolean);

/** The die with crowns, where they stand out: looked at before the last round already, which is half of the work. */
function* soughtCrowns(set: SetOfPhotos, begun: Place): Work<SoughtCrowns> {
  const state = withCrowns(begun.state, new Float64Array(set.solid.labels.length).fill(FIRST_CROWN));
  const { sharpening } = set.card.response;
  const response = { ...begun.response, sharpening: sharpening + PRINT_HIDES };
  const looks = begun.looks.map((look, i) => ({ ...look, response, light: set.used[i]!.survey.light }));
  const from = { ...begun, state, response, looks };
  const [round, ...further] = CROWNED;
  const begins = yield* playedOnce(set, from, round);
  if (!standOut(begins.state, set.photos, begins.found, STANDING_OUT.begins)) return NO_CROWNS;
  let near = yield* nearer(set, begins, further);
  const hinted = (at: Place): SoughtCrowns => ({
    crowned: null,
    hinted: standOut(at.state, set.photos, at.found, STANDING_OUT.hint),
  });
  if (!standOut(near.state, set.photos, near.found, STANDING_OUT.near)) return hinted(near);
  // A proud mark lifts the outline of a face that is seen edge-on, and a die that stands on it: marks are looked for where crowns seem to stand out.
  const { bumps, stoodOn } = yield* proudMarks(near.state, set.photos, looks);
  // As flat the photo of a die that leans does not agree with the others and is left out; crowns are sought again then.
  if (stoodOn) return NO_CROWNS;
  if (bumps.length > 0) {
    near = yield* nearer(set, { ...from, looks: looks.map((look) => ({ ...look, bumps })) }, CROWNED);
    if (!standOut(near.state, set.photos, near.found, STANDING_OUT.near)) return hinted(near);
  }
  const m = yield* ended(set, yield* played(set, near, SETTLING));
  return standOut(m.state, m.photos, m.rounds, STANDING_OUT.times) ? { crowned: m, hinted: false } : hinted(near);
}

/**
 * Crowns stand out where their mean is so many of its standard uncertainties, which are of what all share and of each face's own, mm. Before the
 * last round fewer will do to go on with them, and after the first of all any do: flat dice showed -88 to 33 um then, crowned ones 36 and 40.
 */
const STANDING_OUT = { times: 3, near: 2.2, hint: 1.2, begins: 0.3, common: HIDDEN_ALIKE, own: 0.02 } as const;

function standOut(state: DieState, photos: readonly FitPhoto[], found: readonly RoundResult[], times: number): boolean {
  const seen = crownsSeen({ state, photos, rounds: found });
  const { common, own } = STANDING_OUT;
  return meanCrown(state, seen) > times * Math.hypot(common, own / Math.sqrt(seen.filter(Boolean).length));
}

/** Mean of the crowns that were seen, mm; NaN of none. */
function meanCrown({ crowns }: DieState, seen: readonly boolean[]): Mm {
  const list = [...crowns!].filter((_, f) => seen[f]);
  return list.reduce((s, b) => s + b, 0) / list.length;
}

function startOf({ used, card, starts }: SetOfPhotos, state: DieState): Place {
  const { response } = card;
  const [mirror, rough, limb] = SURFACE_PRIOR.mean;
  return {
    ...{ state, response, fit: null, found: [], sheen: null, tau: NO_TAU, round: 0 },
    looks: used.map((a, i) => ({
      ...{ crop: a.survey.crop, blur: starts[i]!, noise: { inside: 3, outside: 5 }, response },
    })),
    surface: { mirror, rough, limb, shade: EVEN_SKY },
  };
}

/** Rounds up to the last, and more of them where much of the outline strays: these begin from the camera's response as the card has it. */
function* nearer(set: SetOfPhotos, from: Place, list: readonly Round[]): Work<Place> {
  const at = yield* played(set, from, list);
  if (strayShare(at.state, set.photos, outlinesOf(at)) <= STRAY.share) return at;
  const { response } = set.card;
  const looks = at.looks.map((look, i) => ({ ...look, blur: set.starts[i]!, response }));
  return yield* played(set, { ...at, response, looks }, RECOVERY);
}

function* played(set: SetOfPhotos, from: Place, list: readonly Round[]): Work<Place> {
  let at = from;
  for (const round of list) at = yield* playedOnce(set, at, round);
  return at;
}

/** One round: edges along the outlines that are foreseen, what they want changed of light and camera, and the fit to them. */
function* playedOnce(set: SetOfPhotos, from: Place, round: Round): Work<Place> {
  const edges = yield* edgesOf(set, from, round);
  set.onProgress({ stage: 'fit', photo: null, fraction: fractionAt(from.round + 0.95) });
  const seen = round.asked === 'look' ? lookedAt(set, { ...from, found: edges }, round) : from;
  const looks = seen.looks.map((look, i) => ({ ...look, noise: edges[i]!.edges.noise }));
  const found = loosened(edges, looks);
  const start = round.unevens ? unevened(from.state) : from.state;
  const { tau, free, steps, wide = 1 } = round;
  const options = { prior: set.prior, free, steps, cut: CUT * wide, tau };
  const fit = fitDie(start, set.photos, outlinesOf({ found }), options);
  const at = { ...seen, looks, found, fit, tau, state: fit.state, round: from.round + 1 };
  return round.lights ? yield* lit(set, at) : at;
}

/** The edges of all photos. */
function* edgesOf(
  { photos, solid, onProgress }: SetOfPhotos,
  { state, looks, surface, round: r }: Place,
  { every, asked }: Round,
): Work<RoundResult[]> {
  let seen = 0;
  const told = (): void =>
    onProgress({
      stage: 'edges',
      photo: Math.min(seen, photos.length - 1),
      fraction: fractionAt(r + seen++ / photos.length),
    });
  told();
  const tasks = photos.map((photo, index) => {
    const { crop, response, ...look } = looks[index]!;
    return { crop, given: { state, solid, photo, index, look, response: plain(response), surface, every, asked } };
  });
  return yield* forEach('outline', tasks, { done: told });
}

const fractionAt = (rounds: number): number => Math.min(1, ROUNDS_FROM + ((1 - ROUNDS_FROM) * rounds) / MOST_ROUNDS);

/** Blur, glare, sharpening and shade moved to where the edges want them. */
function lookedAt(set: SetOfPhotos, at: Place, { sharpens }: Round): Place {
  const { solid, card, starts } = set;
  const { found, state, surface } = at;
  const steps: LookStep[] = [];
  let looks = at.looks.map((look, i) => {
    const { edges } = found[i]!;
    const step = lookStep(look.blur, edges, starts[i]!);
    if (step) steps.push(step);
    const blur = step ? movedBlur(look.blur, step) : look.blur;
    return { ...look, blur, ...(state.crowns ? { glare: movedGlare(look.glare, edges, solid.labels.length) } : {}) };
  });
  let { response } = at;
  if (sharpens && steps.length > 0) {
    response = { ...response, sharpening: sharpened(response.sharpening, card.response.sharpening, steps) };
    looks = looks.map((look) => ({ ...look, response }));
  }
  const shade = shaded(surface.shade, found);
  const seen = { ...at, looks, response, surface: { ...surface, shade } };
  if (!state.crowns) return seen;
  const slivers = set.photos.flatMap((p, i) => sliversOf(at.looks[i]!.glare, found[i]!.edges, elevations(state, p, i)));
  const told = sheenWithSlivers(at.sheen!, surface, slivers);
  return {
    ...seen,
    surface: { ...told, shade },
    // What is left over the new surface is each face's own.
    looks: looks.map((look) => ({ ...look, glare: look.glare!.map((g) => glareOver(g, surface, told)) })),
  };
}

/** The same with what the faces' light says of the surface. */
function* lit({ photos, used, solid }: SetOfPhotos, at: Place): Work<Place> {
  const { tone } = at.response;
  const tasks = photos.map((photo, index) => {
    const { survey } = used[index]!;
    const die = seenIn(at.state, photo, index);
    const given = {
      solid,
      die,
      photo,
      index,
      stage: survey.stage.map(tone.toLight),
      unseen: paperOverStage(survey, tone),
    };
    return { crop: at.looks[index]!.crop, given };
  });
  const lights = (yield* forEach('light', tasks)).flat();
  const sheen = sheenOf(lights, SURFACE_PRIOR);
  return { ...at, sheen, surface: { ...sheen, shade: at.surface.shade } };
}

/** The last round, and the fits whose stretches are believed to depart as they are seen to. */
function* ended(set: SetOfPhotos, from: Place): Work<Measured> {
  const { photos, prior } = set;
  const at = yield* playedOnce(set, from, LAST);
  const outlines = outlinesOf(at);
  let { state, tau, fit } = at;
  for (let again = 0; again < 2; again++) {
    tau = stretchSigma(state, photos, outlines, CUT);
    fit = fitDie(state, photos, outlines, { prior, free: 'whole', steps: 40, cut: CUT, tau });
    state = fit.state;
  }
  return measuredAt(set, { ...at, state, tau, fit });
}

/** A place that a fit has come to, as what is measured. */
const measuredAt = ({ job, solid, used, photos, calibration, card, prior }: SetOfPhotos, at: Place): Measured => ({
  ...{ job, solid, photos, used, calibration, prior },
  ...{ state: at.state, tau: at.tau, looks: at.looks, rounds: at.found, response: at.response },
  fit: at.fit!,
  sheen: at.sheen!,
  responseU: card.responseU,
});

const plain = ({ sharpening, radius, plane, colourBlur }: Response): Omit<Response, 'tone'> => ({
  ...{ sharpening, radius, plane, colourBlur },
});

/** A photo's outline may lie off as much further as it is blurrier than the set at large, or than what is usual: that blur is no Gaussian. */
function loosened(found: readonly RoundResult[], looks: readonly PhotoLook[]): RoundResult[] {
  const blurs = looks.map(({ blur }) => Math.max(blur.low, blur.high));
  const usual = Math.max(FIT_GATES.blur, median(blurs));
  return found.map((f, i) =>
    blurs[i]! > usual ? { ...f, outline: { ...f.outline, loose: (blurs[i]! / usual) ** 2 } } : f,
  );
}

const outlinesOf = ({ found }: Pick<Place, 'found'>): Outline[] => found.map(({ outline }) => outline);

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
