import { closeSync, openSync, renameSync, statSync, unlinkSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { createBinStream, type Looked } from '../bin/bin-stream.ts';
import { CSV_HEAD, csvLines } from '../bin/csv.ts';
import { wholeResult, type Judgeable, type Standard } from '../bin/judge-photo.ts';
import type { BinJob, BinPhoto, BinResult } from '../bin/types.ts';
import { createPool, inOrder } from '../pool/pool.ts';
import { failure, success, type Result } from '../result.ts';
import { remarkOf } from '../text/notes.ts';
import { openJournal, type Journal } from './bin-journal.ts';
import { photoLooker } from './bin-look.ts';
import type { BinThreadData } from './bin-thread.ts';
import { compileCv, loadCv } from './opencv-node.ts';
import { openSpool } from './spool.ts';
import { put, whyNot } from './streams.ts';
import { threadWorker } from './threads.ts';

/** A folder of photos to be sorted. */
export interface SortWork {
  readonly folder: string;
  readonly job: BinJob;
  readonly photos: readonly string[];
  readonly threads: number;
}

/** Fewer photos than this are looked at one after the other: threads take longer to start. */
const FEW = 4;

/**
 * Sorts a folder's photos, in their order; memory holds but a few of them, and of the others some numbers per die.
 *
 * @param journal  What an earlier run of the same work left, and where this one writes what it has done.
 * @param tell     Told of each photo once it was looked at.
 * @param use      Gets all photos judged, one after the other.
 */
export async function sortPhotos<T>(
  work: SortWork,
  journal: Journal<Looked> | null,
  tell: (text: string) => void,
  use: (standard: Standard, photos: Iterable<BinPhoto>) => Promise<T>,
): Promise<T> {
  const store = openSpool<Judgeable>();
  try {
    const stream = createBinStream(work.job, store);
    let i = 0;
    for await (const looked of lookedAt(work, journal)) {
      const name = work.photos[i++]!;
      const left = stream.add(name, looked);
      tell(`${i}/${work.photos.length} ${name}: ${left ? `left out - ${remarkOf(left)}` : said(looked)}`);
    }
    const { standard, photos } = stream.finish();
    return await use(standard, photos);
  } finally {
    store.close();
  }
}

function said(looked: Looked): string {
  const things = looked.ok ? looked.value.things : [];
  const dice = things.filter((t) => t.code === 'die').length;
  const notes = looked.ok ? looked.value.notes.map((n) => ` - ${remarkOf(n)}`).join('') : '';
  return `${dice} ${dice === 1 ? 'die' : 'dice'}${things.length > dice ? `, ${things.length - dice} other things` : ''}${notes}`;
}

/** What came of each photo, in their order: from the journal as far as it goes, then from the photos. */
async function* lookedAt(work: SortWork, journal: Journal<Looked> | null): AsyncGenerator<Looked, void, void> {
  if (journal) yield* journal.earlier();
  const names = work.photos.slice(journal?.known ?? 0);
  for await (const looked of side(work, names)) {
    journal?.append(looked);
    yield looked;
  }
}

async function* side({ folder, job, threads }: SortWork, names: readonly string[]): AsyncGenerator<Looked, void, void> {
  if (threads === 1 || names.length < FEW) {
    const look = photoLooker(await loadCv(), folder, job);
    for (const name of names) yield await look(name);
    return;
  }
  const data: BinThreadData = { module: await compileCv(), folder, job };
  const pool = createPool<string, Looked>(
    () => threadWorker(new URL('./bin-thread.ts', import.meta.url), data),
    Math.min(threads, names.length),
  );
  try {
    for await (const answer of inOrder(pool, names))
      yield answer.ok ? answer.value : failure({ code: 'unreadable', seen: answer.error.detail });
  } finally {
    pool.close();
  }
}

/** A whole result in memory, as JSON and the table have it. */
export const sortedWhole = (work: SortWork, tell: (text: string) => void): Promise<BinResult> =>
  sortPhotos(work, null, tell, (standard, photos) => Promise.resolve(wholeResult(work.job, standard, [...photos])));

/** Writes the list to stdout, a photo's lines at a time; says whether any photo could be used. */
export const sortedList = (work: SortWork, tell: (text: string) => void): Promise<boolean> =>
  sortPhotos(work, null, tell, async (_, photos) => {
    let used = false;
    await put(CSV_HEAD, null);
    for (const photo of photos) {
      used ||= photo.status !== 'left-out';
      await put(csvLines(photo), null);
    }
    return used;
  });

/** Ends of the names of what lies beside a list until it is whole. */
export const UNFINISHED = { journal: '.journal', list: '.unfinished' } as const;

/**
 * Writes the list to a file, which appears once it is whole. What was done stands in a journal beside it until then: the same command goes on
 * where an earlier one ended, if neither the job nor the photos have changed.
 */
export async function sortedFile(
  work: SortWork,
  out: string,
  tell: (text: string) => void,
): Promise<Result<boolean, string>> {
  try {
    const journal = openJournal<Looked>(out + UNFINISHED.journal, workText(work));
    if (journal.known > 0) tell(`${journal.known} of ${work.photos.length} photos were looked at before; going on`);
    const used = await sortPhotos(work, journal, tell, (_, photos) => Promise.resolve(written(out, photos)));
    journal.close();
    unlinkSync(out + UNFINISHED.journal);
    return success(used);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === undefined) throw error;
    return failure(`${out} cannot be written: ${whyNot(error as NodeJS.ErrnoException)}`);
  }
}

/** Version of what is kept of a photo: a journal of another is begun anew. */
const LOOK = 1;

/** All that a photo's numbers hang on: the job, and each photo's name, size and time of change. */
const workText = ({ folder, job, photos }: SortWork): string =>
  JSON.stringify([
    LOOK,
    job,
    photos.map((name) => {
      const file = statSync(join(folder, name), { throwIfNoEntry: false });
      return [name, file?.size ?? 0, file?.mtimeMs ?? 0];
    }),
  ]);

function written(out: string, photos: Iterable<BinPhoto>): boolean {
  const file = openSync(out + UNFINISHED.list, 'w');
  let used = false;
  writeSync(file, CSV_HEAD);
  for (const photo of photos) {
    used ||= photo.status !== 'left-out';
    writeSync(file, csvLines(photo));
  }
  closeSync(file);
  renameSync(out + UNFINISHED.list, out);
  return used;
}
