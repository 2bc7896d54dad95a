import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { failure, success, type Result } from '../result.ts';
import { readLimits, typed } from './reference.ts';
import type { BinJob } from './types.ts';
import { APEX_RANGE, CHECK_BAR_RANGE, CHECK_BAR_U } from '../formats/job.ts';

/** Most photos of one bin. */
export const MOST_BIN_PHOTOS = 500;

export interface BinFolderJob {
  readonly job: BinJob;
  /** Names of the photos, or null: all pictures that lie there. */
  readonly photos: readonly string[] | null;
}

/**
 * Reads a bin's job as a file gives it: `die`, and where wanted `photos`, `checkBar`, `checkBarY`, `checkBarU`, `apex`, `size` and
 * `radius` (nominal, mm), `limits` { size, radius, departure } (mm), `sameDice`. Anything unfit is said, nothing is guessed.
 */
export function parseBinJob(json: unknown): Result<BinFolderJob, string> {
  if (typeof json !== 'object' || json === null || Array.isArray(json)) return failure('an object is needed');
  const record = json as Record<string, unknown>;
  const die = record['die'];
  if (!isKind(die)) return failure(`"die" must be one of ${DIE_KINDS.join(', ')}`);
  const photos = record['photos'];
  if (photos !== undefined && !(Array.isArray(photos) && photos.every((p) => typeof p === 'string' && p !== '')))
    return failure('"photos" must be a list of file names');
  if (Array.isArray(photos) && photos.length > MOST_BIN_PHOTOS)
    return failure(`${photos.length} photos named, at most ${MOST_BIN_PHOTOS} are taken`);
  const numbers: Record<string, number | null> = {};
  for (const [name, low, high] of RANGES) {
    const v = record[name] ?? null;
    if (v !== null && !(typeof v === 'number' && v >= low && v <= high))
      return failure(`"${name}" must be a number from ${low} to ${high}`);
    numbers[name] = v;
  }
  const limits = readLimits(record['limits'] ?? {});
  if (!limits.ok) return limits;
  const same = record['sameDice'] ?? false;
  if (typeof same !== 'boolean') return failure('"sameDice" must be true or false');
  const { checkBar, checkBarY, checkBarU, apex, size, radius } = numbers as Record<
    (typeof RANGES)[number][0],
    number | null
  >;
  return success({
    photos: (photos as string[] | undefined) ?? null,
    job: {
      die,
      checkBar,
      checkBarY,
      checkBarU: checkBarU ?? CHECK_BAR_U,
      ...(apex === null ? {} : { apex }),
      reference: size === null ? null : { size: typed(size), radius: typed(radius), source: 'typed' },
      limits: limits.value,
      sameDice: same,
    },
  });
}

export const isKind = (v: unknown): v is DieKind =>
  typeof v === 'string' && (DIE_KINDS as readonly string[]).includes(v);

const RANGES = [
  ['checkBar', ...CHECK_BAR_RANGE],
  ['checkBarY', ...CHECK_BAR_RANGE],
  ['checkBarU', 0.001, 5],
  ['apex', ...APEX_RANGE],
  ['size', 3, 60],
  ['radius', 0.01, 10],
] as const;
