import * as v from 'valibot';
import { DIE_KINDS, dieSolid, NumberingError, type DieKind } from '../geometry/solid.ts';
import { baseFace } from '../geometry/standing.ts';
import { TENS, type Numbering } from '../geometry/numbering.ts';
import { failure, success, type Result } from '../result.ts';
import { APEX_RANGE, BOUNDS, CHECK_BAR_RANGE, CHECK_BAR_U_RANGE } from './bounds.ts';
import { crossed, APEX, CHECK_BAR, dieFault, KIND, LABEL, LINE, list, NUMBERING, range, type Of } from './parts.ts';
import { isTooDeep, shown } from './read.ts';

/*
 * The job of a set: what is measured, and what is known beforehand. A file (`job.json`) may be short, as `JOB_FILE` reads it; reports and
 * stores keep it whole, as `JOB` has it. It has no version: fields are only ever added, and unknown ones are passed over.
 */

/** Standard uncertainty of a check bar read with a ruler, mm: half a tenth (common practice). */
export const CHECK_BAR_U = 0.05;
/** Most photos of one set. */
export const MOST_SHOTS = BOUNDS.photos;
export { APEX_RANGE, CHECK_BAR_RANGE };

export const FINISHES = ['moulded', 'tumbled', 'polished', 'unknown'] as const;
export const HAND_TESTS = ['spins', 'still'] as const;

const SHOT = v.looseObject({
  photo: LINE,
  /** Number on top; on a d4 the number of the face it stands on. */
  up: LABEL,
  /** Number on the face that looks to the card's lower edge. */
  front: LABEL,
});
/** One photo of a set as the job names it. */
export type JobShot = Of<typeof SHOT>;

const FIELDS = v.looseObject({
  die: KIND,
  shots: list(SHOT, MOST_SHOTS),
  /** Measured lengths of the card's two check bars, mm; null where nobody measured. */
  checkBar: v.nullable(CHECK_BAR),
  checkBarY: v.nullable(CHECK_BAR),
  /** Standard uncertainty of those lengths, mm. */
  checkBarU: range(...CHECK_BAR_U_RANGE),
  /** Numbering of the die where it is not the usual one. */
  numbering: v.nullable(NUMBERING),
  /** Of a d10: apex height over belt radius of its mould, where it is not 1. */
  apex: v.exactOptional(APEX),
  /** How the die was finished, as far as the user knows; unknown where left out. */
  finish: v.exactOptional(v.picklist(FINISHES)),
  /** What it does when it is flicked on glass, where somebody tried. */
  handTest: v.exactOptional(v.picklist(HAND_TESTS)),
});
/** What is measured, and what is known beforehand. */
export type Job = Of<typeof FIELDS>;

/** A whole job, as reports and stores keep it. */
export const JOB = crossed(FIELDS, ({ die, numbering, apex }) => {
  const need = dieFault(die, numbering, apex);
  return need && { at: [need], need };
});

const FILE_LABEL = v.union([
  v.pipe(
    v.number(),
    v.integer(),
    v.transform((n) => String(n)),
    LABEL,
  ),
  LABEL,
]);

/** A job as a file may give it: numbers bare or as text, and what is usual left out. */
export const JOB_FILE = v.looseObject({
  die: KIND,
  numbering: v.nullish(v.union([v.literal('tens'), v.record(v.string(), v.array(FILE_LABEL))])),
  shots: list(v.looseObject({ photo: v.pipe(LINE, v.minLength(1)), up: FILE_LABEL, front: FILE_LABEL }), MOST_SHOTS, 1),
  checkBar: v.nullish(CHECK_BAR),
  checkBarY: v.nullish(CHECK_BAR),
  apex: v.optional(APEX),
  checkBarU: v.optional(range(...CHECK_BAR_U_RANGE)),
  finish: v.nullish(v.picklist(FINISHES)),
  handTest: v.nullish(v.picklist(HAND_TESTS)),
});
type JobFile = v.InferOutput<typeof JOB_FILE>;

/** Why a job file cannot be read: which place of it, what was seen there and what is needed. */
export interface JobFault {
  readonly code: JobCode;
  /** Counted from 1, where the fault is in one shot. */
  readonly shot?: number;
  /** Name of the entry at fault, or of the number that a fault in the numbering is about. */
  readonly field?: string;
  readonly seen?: string | number;
  readonly needed?: string | number;
}

/** Every fault of a job file; its words stand in `text/job-faults.ts`. */
export const JOB_CODES = [
  'job-object',
  'job-json',
  'job-deep',
  'job-die',
  'job-no-shots',
  'job-shots',
  'job-photo',
  'job-number',
  'job-front',
  'job-bar',
  'job-apex',
  'job-doubt',
  'job-numbering',
  'job-finish',
  'job-hand-test',
  'numbering-count',
  'numbering-twice',
  'numbering-clash',
  'numbering-neighbours',
  'numbering-beside',
] as const;
export type JobCode = (typeof JOB_CODES)[number];

/** A range as a fault gives it in `needed`: "80-125"; each language words it. */
const span = ([low, high]: readonly [number, number]): string => `${low}-${high}`;

const fault = (why: JobFault): Result<never, JobFault> => failure(why);

/** Reads a job as a file gives it; anything unfit is said, nothing is guessed. */
export function parseJob(json: unknown): Result<Job, JobFault> {
  if (isTooDeep(json)) return fault({ code: 'job-deep', needed: BOUNDS.depth });
  // To the schema a list is an object with few names.
  if (Array.isArray(json)) return fault({ code: 'job-object' });
  const file = v.safeParse(JOB_FILE, json, { abortEarly: true });
  if (!file.success) return fault(fileFault(file.issues[0], json));
  const { die: kind, checkBar, checkBarY, checkBarU, apex, finish, handTest } = file.output;
  if (apex !== undefined && kind !== 'd10') return fault({ code: 'job-apex', needed: span(APEX_RANGE) });
  const numbering = numberingOf(kind, file.output.numbering);
  if (!numbering.ok) return numbering;
  const shots = shotsOf(kind, numbering.value, file.output.shots);
  if (!shots.ok) return shots;
  return success({
    die: kind,
    shots: shots.value,
    checkBar: checkBar ?? null,
    checkBarY: checkBarY ?? null,
    checkBarU: checkBarU ?? CHECK_BAR_U,
    numbering: numbering.value,
    ...(apex === undefined ? {} : { apex }),
    ...(finish ? { finish } : {}),
    ...(handTest ? { handTest } : {}),
  });
}

/** What the schema found, as a fault of the job with the numbers that its sentence needs. */
function fileFault(issue: v.BaseIssue<unknown>, json: unknown): JobFault {
  const [field, index, of] = (issue.path ?? []).map((item) => (item as { key: unknown }).key);
  if (field === undefined) return { code: 'job-object' };
  const seen = (value: unknown): { readonly seen?: string } => {
    const text = shown(value);
    return text === null ? {} : { seen: text.slice(0, 40) };
  };
  const shots = (json as { readonly shots?: unknown }).shots;
  switch (String(field)) {
    case 'die':
      return {
        code: 'job-die',
        ...seen(issue.input === undefined ? undefined : (json as JobFile).die),
        needed: DIE_KINDS.join(', '),
      };
    case 'numbering':
      return { code: 'job-numbering' };
    case 'shots': {
      if (typeof index !== 'number')
        return Array.isArray(shots) && shots.length > MOST_SHOTS
          ? { code: 'job-shots', seen: shots.length, needed: MOST_SHOTS }
          : { code: 'job-no-shots' };
      if (of !== 'up' && of !== 'front') return { code: 'job-photo', shot: index + 1 };
      const value = (shots as readonly Record<string, unknown>[])[index]![of];
      return { code: 'job-number', shot: index + 1, field: of, ...seen(value), needed: (json as JobFile).die };
    }
    case 'apex':
      return { code: 'job-apex', needed: span(APEX_RANGE) };
    case 'finish':
      return { code: 'job-finish', ...seen(issue.input), needed: FINISHES.join(', ') };
    case 'handTest':
      return { code: 'job-hand-test', ...seen(issue.input), needed: HAND_TESTS.join(', ') };
    case 'checkBarU':
      return { code: 'job-doubt' };
    default:
      return { code: 'job-bar', needed: span(CHECK_BAR_RANGE) };
  }
}

function shotsOf(kind: DieKind, numbering: Numbering | null, given: JobFile['shots']): Result<JobShot[], JobFault> {
  const solid = dieSolid(kind, numbering ?? undefined);
  const shots: JobShot[] = [];
  for (const [i, { photo, up, front }] of given.entries()) {
    const shot = i + 1;
    for (const [field, label] of [
      ['up', up],
      ['front', front],
    ] as const)
      if (!solid.labels.includes(label))
        return fault({ code: 'job-number', shot, field, seen: numeral(label), needed: kind });
    const f = solid.labels.indexOf(front);
    if (f === baseFace(solid, up) || (kind !== 'd4' && f === solid.labels.indexOf(up)))
      return fault({ code: 'job-front', shot, seen: front, needed: up });
    shots.push({ photo, up, front });
  }
  return success(shots);
}

/** A label as a file would give it: a number bare, anything else in quotes. */
const numeral = (label: string): string => (/^(0|[1-9]\d*)$/.test(label) ? label : JSON.stringify(label));

function numberingOf(kind: DieKind, value: JobFile['numbering']): Result<Numbering | null, JobFault> {
  if (value === undefined || value === null) return success(null);
  if (value === 'tens') return kind === 'd10' ? success(TENS) : fault({ code: 'job-numbering' });
  try {
    dieSolid(kind, value);
    return success(value);
  } catch (e) {
    if (e instanceof NumberingError) return fault(e.fault);
    throw e;
  }
}

/** Up and front of the usual shot list: each axis upright once (a d4 on each face), the front a face beside it. */
export function usualShots(kind: DieKind): readonly { readonly up: string; readonly front: string }[] {
  const solid = dieSolid(kind);
  const order = [...solid.labels].sort((a, b) => (kind === 'd20' ? Number(b) - Number(a) : Number(a) - Number(b)));
  const ups: string[] = [];
  for (const l of order) {
    const opposite = kind === 'd4' ? null : solid.labels[solid.opposite[solid.labels.indexOf(l)]!]!;
    if (opposite === null || !ups.includes(opposite)) ups.push(l);
  }
  return ups.map((up) => ({ up, front: USUAL_FRONT[kind]?.[up] ?? besides(solid.labels, solid.edges, up)[0]! }));
}

const besides = (
  labels: readonly string[],
  edges: readonly { readonly faces: readonly [number, number] }[],
  up: string,
): string[] => {
  const f = labels.indexOf(up);
  return edges.flatMap(({ faces: [a, b] }) => (a === f ? [labels[b]!] : b === f ? [labels[a]!] : []));
};

/** Fronts of the shot list where one is usual. */
const USUAL_FRONT: Partial<Record<DieKind, Readonly<Record<string, string>>>> = {
  d4: { 1: '2', 2: '3', 3: '2', 4: '3' },
  d6: { 1: '2', 2: '3', 3: '1' },
  d8: { 1: '2', 2: '5', 3: '2', 4: '3' },
};

/** A job for photos without a job file: the number up is taken from names like "03-18.jpg", else from the shot list's order. */
export function defaultJob(kind: DieKind, photos: readonly string[]): Job {
  const usual = usualShots(kind);
  const solid = dieSolid(kind);
  const shots = photos.map((photo, i): JobShot => {
    const named = /(?:^|[^0-9])(\d{1,2})\.[a-z]+$/i.exec(photo)?.[1]?.replace(/^0+(?=\d)/, '');
    const up =
      named !== undefined && solid.labels.includes(named) && /\d+[-_ ]\d+\.[a-z]+$/i.test(photo)
        ? named
        : usual[i % usual.length]!.up;
    const front =
      usual.find((s) => s.up === up)?.front ?? besides(solid.labels, solid.edges, kind === 'd4' ? up : up)[0]!;
    return { photo, up, front };
  });
  return { die: kind, shots, checkBar: null, checkBarY: null, checkBarU: CHECK_BAR_U, numbering: null };
}
