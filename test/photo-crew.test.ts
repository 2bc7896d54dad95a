import { afterEach, expect, test } from 'vitest';
import { nodeCrew } from '../src/cli/photo-crew.ts';
import { threadWorker } from '../src/cli/threads.ts';
import { createFileSet } from '../src/measure/file-set.ts';
import { photoCrew, type CrewAnswer, type CrewQuestion, type PhotoCrew } from '../src/measure/photo-crew.ts';
import { resultJson } from '../src/measure/result-json.ts';
import type { MeasureFailure, MeasureResult, Progress } from '../src/formats/result.ts';
import type { Result } from '../src/result.ts';
import { createPool, type PoolWorker } from '../src/pool/pool.ts';
import { sampleFile, sampleJob } from './support/measuring.ts';

const whole = sampleJob('d6');
const job = { ...whole, shots: whole.shots.slice(0, 2) };
let crew: PhotoCrew | undefined;
afterEach(() => crew?.close());

async function measuredBy(by: PhotoCrew, onProgress?: (p: Progress) => void): Promise<string> {
  crew = by;
  const set = createFileSet(job, () => 0);
  const looked = await Promise.all(job.shots.map(({ photo }) => by.look(photo, sampleFile('d6', photo))));
  // In any order: here the last photo comes first.
  for (const one of looked.reverse()) set.take(one);
  return bytesOf(await set.finish(onProgress, by.size > 1 ? by : undefined));
}

function bytesOf(outcome: Result<MeasureResult, MeasureFailure>): string {
  if (!outcome.ok) throw new Error(outcome.error.code);
  return resultJson({ ...outcome, value: { ...outcome.value, timing: {} } });
}

/** Threads of which each ends in the midst of its first question of a kind. */
function ending(ask: CrewQuestion['ask'], lost: { count: number }): PhotoCrew {
  const start = (): PoolWorker<CrewQuestion, CrewAnswer> => {
    const worker = threadWorker<CrewQuestion, CrewAnswer>(new URL('../src/cli/photo-thread.ts', import.meta.url));
    return {
      ...worker,
      ask(question) {
        const answer = worker.ask(question);
        if (question.ask === ask && lost.count < 1) {
          lost.count++;
          worker.end();
        }
        return answer;
      },
    };
  };
  return photoCrew(createPool(start, 2));
}

/** What this thread alone makes of it; worked out once. */
let alone: Promise<string> | undefined;
const byOne = (): Promise<string> => (alone ??= measuredBy(nodeCrew(1)));

test('threads give the result of one, to the last byte', async () => {
  const told: Progress[] = [];
  expect(await measuredBy(nodeCrew(2), (p) => told.push(p))).toBe(await byOne());
  const fractions = told.map(({ fraction }) => fraction);
  expect(fractions).toEqual([...fractions].sort((a, b) => a - b));
  expect(told.filter(({ stage }) => stage === 'edges').length).toBeGreaterThan(2 * job.shots.length);
});

test('so does one that works on a photo while another is decoded', async () => {
  const two = nodeCrew(1, 2);
  expect(two.size).toBe(1);
  expect(await measuredBy(two)).toBe(await byOne());
});

test.each(['look', 'task'] as const)('a thread lost in a %s costs one repeat: the result is the same', async (ask) => {
  const lost = { count: 0 };
  expect(await measuredBy(ending(ask, lost))).toBe(await byOne());
  expect(lost.count).toBe(1);
});

test('a file that ends every thread is no photo that can be read; the others are measured', async () => {
  const never: PoolWorker<CrewQuestion, CrewAnswer> = {
    ask: () => Promise.reject(new Error('out of memory')),
    end: () => undefined,
  };
  crew = photoCrew(createPool(() => never, 1));
  expect(await crew.look('01-1.jpg', sampleFile('d6', '01-1.jpg'))).toMatchObject({
    refused: true,
    found: { ok: false, error: [{ code: 'unreadable', seen: expect.stringMatching(/memory/) as string }] },
  });
});
