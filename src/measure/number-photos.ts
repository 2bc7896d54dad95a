import { readFace } from '../faces/reader/reader.ts';
import { numbersFrom, type SetNumbers } from '../faces/numbers.ts';
import { CERTAINTY, type PhotoNumbers } from '../faces/photo-numbers.ts';
import { failure, success, type Result } from '../result.ts';
import type { Calibration } from '../vision/calibration.ts';
import { roughOutline, withSpare } from '../vision/rough-outline.ts';
import type { Asked } from './asked.ts';
import { isInFront, type CoarseStand } from './coarse.ts';
import type { Added } from './look.ts';
import type { Measured } from './measured.ts';
import type { PhotoBook } from './photo-result.ts';
import { forEach, type Work } from './photo-tasks.ts';
import { fitPhoto, ROUGH } from './rough-checks.ts';
import type { Note, SetNumbersResult } from '../formats/result.ts';

/** A photo whose numbers are known, and where its die stands, roughly. */
export interface Numbered {
  readonly a: Added;
  readonly stand: CoarseStand;
}

/** The numbers of photos that one camera took, as far as faces and job tell them. */
export interface NumberedSet {
  readonly set: SetNumbers;
  /** Those whose numbers are known, in order. */
  readonly known: readonly Numbered[];
}

/** Share of its width by which the outline of a die that is seen as one departs at most: plain dice by 0.1 to 0.5 %. */
const SEEN_WELL = ROUGH.misfit / 3;

/** Numbers as a note gives them; each language words it. */
export const upAndFront = ({ up, front }: { readonly up: string | null; readonly front: string | null }): string =>
  front === null || front === '' ? String(up) : `${up}/${front}`;

/** The faces of a set's dice, read or checked against what the job says. */
export function* setNumbers(asked: Asked, used: readonly Added[], found: Calibration): Work<Result<SetNumbers, Note>> {
  const given = new Map(asked.shots.map((s) => [s.photo, s]));
  const photos = used.map((a, i) => {
    const { up, front, planned } = given.get(a.shot.photo)!;
    return {
      photo: a.shot.photo,
      view: { camera: found.cameras[i]!, cameraFromCard: found.cameraFromCard[i]! },
      region: a.survey.regions[0]!,
      crop: a.survey.crop,
      given: up === null || front === null ? null : { up, front },
      planned: planned ?? null,
    };
  });
  const work = numbersFrom(
    { kind: asked.die, numbering: asked.numbering, ...(asked.apex === undefined ? {} : { apex: asked.apex }) },
    photos,
    readFace,
  );
  let step = work.next();
  while (!step.done) {
    const { solid, made } = step.value;
    const tasks = photos.map(({ view, region, crop }, index) => ({ crop, given: { solid, view, region, index } }));
    step = work.next(yield* forEach('sight', tasks, { done: (sight, i) => made(i, sight) }));
  }
  const numbers = step.value;
  return numbers.ok ? numbers : failure(numbers.error);
}

/**
 * Where the die stands in each photo whose numbers were given and say that it is turned otherwise than its faces are seen, or where it was hardly seen
 * as a die, roughly; null for all others: these stand as they were seen.
 */
export function* givenStands(
  { solid, photos }: SetNumbers,
  used: readonly Added[],
  found: Calibration,
): Work<(CoarseStand | null)[]> {
  const searched = photos.flatMap(({ from, up, front, yaw, pose: { misfit } }, i) => {
    if (from !== 'given' || up === null || front === null) return [];
    return misfit < SEEN_WELL && isInFront(solid, { up, front }, yaw) ? [] : [i];
  });
  const tasks = searched.map((i) => {
    const { crop, regions } = used[i]!.survey;
    return {
      crop,
      given: { solid, photo: fitPhoto(found, withNumbers(used[i]!, photos[i]!), i), region: regions[0]! },
    };
  });
  const stands = (yield* forEach('stand', tasks)).values();
  return photos.map((_, i) => (searched.includes(i) ? stands.next().value! : null));
}

/** States each photo's numbers in the book, and leaves out those whose numbers are not known. */
export function numberedPhotos(
  set: Result<SetNumbers, Note>,
  stands: readonly (CoarseStand | null)[],
  used: readonly Added[],
  book: PhotoBook,
): Result<NumberedSet, Note> {
  if (!set.ok) {
    for (const a of used) book.remark(a, set.error, true);
    return set;
  }
  const known: Numbered[] = [];
  set.value.photos.forEach((p, i) => {
    const a = withNumbers(used[i]!, p);
    book.numbered(a, p.from, p.chance);
    const note = noteOf(p);
    const open = p.front === null ? p.fronts : null;
    if (note) book.remark(a, note, p.front === null && open === null);
    if (open !== null) {
      const guess = { ...a, shot: { ...a.shot, front: open[0]!.front }, openFronts: open };
      known.push({ a: guess, stand: standOf(a, p) });
    }
    if (p.front !== null) known.push({ a, stand: stands[i] ?? standOf(a, p) });
  });
  return success({ set: set.value, known });
}

const withNumbers = (a: Added, { photo, up, front, from }: PhotoNumbers): Added => ({
  ...a,
  shot: { photo, up: up ?? '', front: front ?? '' },
  ...(from === null ? {} : { numbersFrom: from }),
});

/** States the numbers in front that only the fitted outlines told, once these are sure. */
export function numberedFronts({ used, open }: Measured, book: PhotoBook): void {
  used.forEach((a, i) => {
    const { front, chance } = open?.fronts[i] ?? { front: '', chance: 1 };
    if (!a.openFronts || chance > CERTAINTY.certain) return;
    book.numbered({ ...a, shot: { ...a.shot, front } }, 'read', chance);
  });
}

/** What is to be said of a photo's numbers, or null. */
function noteOf(p: PhotoNumbers): Note | null {
  if (p.contradicted)
    return {
      code: 'numbers-contradicted',
      seen: p.up === null ? p.seen.join(', ') : upAndFront(p),
      needed: upAndFront(p.contradicted),
    };
  if (p.up === null) return { code: 'numbers-unknown', seen: p.seen.join(', ') };
  return p.front === null ? { code: 'front-unknown', seen: p.up } : null;
}

function standOf(a: Added, { pose: { pose, misfit, spare }, yaw }: PhotoNumbers): CoarseStand {
  const region = a.survey.regions[0]!;
  return {
    stand: { x: pose.x, y: pose.y, yaw },
    distance: pose.size,
    misfit,
    outline: roughOutline(spare ? withSpare(region) : region, a.survey.crop),
  };
}

/** What is to be said of the whole set: photos whose numbers are not known, and those whose given numbers the faces contradict. */
export function numbersNotes({ photos }: SetNumbers, known: number): Note[] {
  const doubted = photos.filter((p) => p.contradicted !== null).length;
  return [
    ...(known < photos.length ? [{ code: 'numbers-unknown' as const, seen: known, needed: photos.length }] : []),
    ...(doubted > 0 ? [{ code: 'numbers-doubted' as const, seen: doubted, needed: photos.length }] : []),
  ];
}

const WEAKEST = ['given', 'read', 'confirmed'] as const;

/** The numbers of the photos that were measured, said once. */
export function numbersResult(set: SetNumbers, used: readonly Added[]): SetNumbersResult {
  const photos = set.photos.filter((p) => used.some((a) => a.shot.photo === p.photo));
  const from = WEAKEST.find((f) => photos.some((p) => p.from === f)) ?? 'given';
  const right = photos.reduce((s, p) => s * (1 - (p.chance ?? 0)), 1);
  return {
    from,
    chance: photos.some((p) => p.chance === null) ? null : 1 - right,
    tens: set.tens,
  };
}
