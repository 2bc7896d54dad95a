import { DIE_KINDS, dieSolid, NumberingError, type DieKind } from '../geometry/solid.ts';
import { baseFace } from '../geometry/standing.ts';
import { TENS, type Numbering } from '../geometry/numbering.ts';
import { failure, success, type Result } from '../result.ts';
import { range, type JobFault } from '../measure/job-messages.ts';
import type { Job, JobShot } from './result.ts';

/** Standard uncertainty of a check bar read with a ruler, mm: half a tenth (common practice). */
export const CHECK_BAR_U = 0.05;
/** Check bars outside these lengths are a slip of the pen, mm. */
export const CHECK_BAR_RANGE = [80, 125] as const;
/** Apex heights over belt radius that a d10's mould may have. */
export const APEX_RANGE = [0.8, 1.25] as const;
/** Most photos of one set. */
export const MOST_SHOTS = 60;

const fault = (why: JobFault): Result<never, JobFault> => failure(why);

/** Reads a job as a file gives it; anything unfit is said, nothing is guessed. */
export function parseJob(json: unknown): Result<Job, JobFault> {
  if (!isRecord(json)) return fault({ code: 'job-object' });
  const die = json['die'];
  if (typeof die !== 'string' || !(DIE_KINDS as readonly string[]).includes(die))
    return fault({ code: 'job-die', ...seen(die), needed: DIE_KINDS.join(', ') });
  const kind = die as DieKind;
  const numbering = readNumbering(kind, json['numbering']);
  if (!numbering.ok) return numbering;
  const list = json['shots'];
  if (!Array.isArray(list) || list.length === 0) return fault({ code: 'job-no-shots' });
  if (list.length > MOST_SHOTS) return fault({ code: 'job-shots', seen: list.length, needed: MOST_SHOTS });
  const solid = dieSolid(kind, numbering.value ?? undefined);
  const shots: JobShot[] = [];
  for (const [i, s] of list.entries()) {
    if (!isRecord(s) || typeof s['photo'] !== 'string' || s['photo'] === '')
      return fault({ code: 'job-photo', shot: i + 1 });
    const up = label(s['up']);
    const front = label(s['front']);
    if (up === null || !solid.labels.includes(up))
      return fault({ code: 'job-number', shot: i + 1, field: 'up', ...seen(s['up']), needed: kind });
    if (front === null || !solid.labels.includes(front))
      return fault({ code: 'job-number', shot: i + 1, field: 'front', ...seen(s['front']), needed: kind });
    const f = solid.labels.indexOf(front);
    if (f === baseFace(solid, up) || (kind !== 'd4' && f === solid.labels.indexOf(up)))
      return fault({ code: 'job-front', shot: i + 1, seen: front, needed: up });
    shots.push({ photo: s['photo'], up, front });
  }
  const bars = [bar(json['checkBar']), bar(json['checkBarY'])];
  if (bars.includes(undefined)) return fault({ code: 'job-bar', needed: range(CHECK_BAR_RANGE) });
  const apex = json['apex'];
  if (
    apex !== undefined &&
    !(kind === 'd10' && typeof apex === 'number' && apex >= APEX_RANGE[0] && apex <= APEX_RANGE[1])
  )
    return fault({ code: 'job-apex', needed: range(APEX_RANGE) });
  const u = json['checkBarU'];
  if (u !== undefined && !(typeof u === 'number' && u > 0 && u < 5)) return fault({ code: 'job-doubt' });
  return success({
    die: kind,
    shots,
    checkBar: bars[0] ?? null,
    checkBarY: bars[1] ?? null,
    checkBarU: typeof u === 'number' ? u : CHECK_BAR_U,
    numbering: numbering.value,
    ...(typeof apex === 'number' ? { apex } : {}),
  });
}

function readNumbering(kind: DieKind, value: unknown): Result<Numbering | null, JobFault> {
  if (value === undefined || value === null) return success(null);
  if (value === 'tens' && kind === 'd10') return success(TENS);
  if (!isRecord(value) || !Object.values(value).every((v) => Array.isArray(v))) return fault({ code: 'job-numbering' });
  const numbering: Numbering = Object.fromEntries(
    Object.entries(value).map(([k, v]) => [k, (v as unknown[]).map(String)]),
  );
  try {
    dieSolid(kind, numbering);
    return success(numbering);
  } catch (e) {
    if (e instanceof NumberingError) return fault(e.fault);
    throw e;
  }
}

const isRecord = (v: unknown): v is Record<string, unknown> => typeof v === 'object' && v !== null && !Array.isArray(v);
/** What stands in an entry, cut short; nothing where it is missing. */
const seen = (v: unknown): { readonly seen?: string } =>
  v === undefined ? {} : { seen: JSON.stringify(v).slice(0, 40) };
const label = (v: unknown): string | null =>
  typeof v === 'number' && Number.isInteger(v) ? String(v) : typeof v === 'string' && v.length <= 12 ? v : null;
const bar = (v: unknown): number | null | undefined =>
  v === undefined || v === null
    ? null
    : typeof v === 'number' && v >= CHECK_BAR_RANGE[0] && v <= CHECK_BAR_RANGE[1]
      ? v
      : undefined;

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
