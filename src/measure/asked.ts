import { NUMBERINGS, TENS } from '../geometry/numbering.ts';
import { CHECK_BAR_U, parseJob, type JobFault } from '../formats/job.ts';
import type { Job } from '../formats/result.ts';
import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { failure, success, type Result } from '../result.ts';

/** One photo of what is to be measured; null where the number is to be read from the photo. */
export interface AskedShot {
  readonly photo: string;
  readonly up: string | null;
  readonly front: string | null;
  /** How the die was meant to be laid down for it, where a shot list asked for that. */
  readonly planned?: { readonly up: string; readonly front: string };
}

/** What is to be measured as far as it is known: a job with gaps. Every job is one. */
export interface Asked extends Omit<Job, 'die' | 'shots'> {
  /** Null where it is to be told from the photos. */
  readonly die: DieKind | null;
  readonly shots: readonly AskedShot[];
}

/** Numbers that a die of the kind can show together: stand-ins while the rest of a job with gaps is read. */
function standIn(kind: unknown, numbering: unknown): { readonly up: string; readonly front: string } {
  const usual = NUMBERINGS[(DIE_KINDS as readonly unknown[]).includes(kind) ? (kind as DieKind) : 'd6'];
  const table = numbering === 'tens' ? TENS : typeof numbering === 'object' && numbering !== null ? numbering : usual;
  const [up, around] = Object.entries(table)[0] ?? ['', ['']];
  return { up, front: String((around as readonly unknown[])[0]) };
}

/**
 * Reads a job that may leave out the die and each photo's numbers. A photo has both numbers or none; numbers need the die named.
 *
 * @param kind  The die where the file names none, or null.
 */
export function parseAsked(json: unknown, kind: DieKind | null): Result<Asked, JobFault> {
  if (typeof json !== 'object' || json === null || Array.isArray(json)) return parseJob(json);
  const { die = kind, shots } = json as { readonly die?: unknown; readonly shots?: unknown };
  if (!Array.isArray(shots)) return parseJob({ ...json, die: die ?? DIE_KINDS[1] });
  const bare = shots.map((s: unknown) => typeof s === 'object' && s !== null && !('up' in s) && !('front' in s));
  if (die === null && !bare.every(Boolean)) return failure({ code: 'job-die', needed: DIE_KINDS.join(', ') });
  const stand = standIn(die, (json as { readonly numbering?: unknown }).numbering);
  const filled = shots.map((s: unknown, i) => (bare[i] ? { ...(s as object), ...stand } : s));
  const job = parseJob({ ...json, die: die ?? 'd6', shots: filled });
  if (!job.ok) return job;
  return success({
    ...job.value,
    die: die === null ? null : job.value.die,
    shots: job.value.shots.map((s, i) => (bare[i] ? { photo: s.photo, up: null, front: null } : s)),
  });
}

/** Photos without a job: nothing is known beforehand but perhaps the kind. */
export function bareAsked(kind: DieKind | null, photos: readonly string[]): Asked {
  const shots = photos.map((photo) => ({ photo, up: null, front: null }));
  return { die: kind, shots, checkBar: null, checkBarY: null, checkBarU: CHECK_BAR_U, numbering: null };
}
