import { createHash } from 'node:crypto';
import { closeSync, fstatSync, ftruncateSync, openSync, readSync, writeSync } from 'node:fs';
import { deserialize, serialize } from 'node:v8';

/**
 * What a run has done so far, in a file beside the one that it will write: a line that says of what, and a block per photo (its length, a
 * digest of its bytes, its bytes). A block that was cut off when the run ended, and all after it, is done anew.
 */
export interface Journal<T> {
  /** How many values an earlier run of the same work has left. */
  readonly known: number;
  /** These, in their order, one at a time. */
  earlier(): Generator<T, void, void>;
  append(value: T): void;
  close(): void;
}

const DIGEST = 8;
const HEAD = 4 + DIGEST;
/** The longest block that is taken for one: a photo of the most dice has some hundred kB. */
const LONGEST = 16e6;

const digestOf = (bytes: Uint8Array): Buffer => createHash('sha256').update(bytes).digest().subarray(0, DIGEST);

/**
 * Opens a journal, or begins it where there is none, or one of other work.
 *
 * @param work  Says what is done: another text, another journal.
 * @throws What the system says where the file cannot be written.
 */
export function openJournal<T>(path: string, work: string): Journal<T> {
  const head = Buffer.from(`evencast-bin-journal/1 ${createHash('sha256').update(work).digest('hex')}\n`);
  const file = openSync(path, 'a+', 0o600);
  const begun = block(file, 0, head.length)?.equals(head) ?? false;
  if (!begun) {
    ftruncateSync(file, 0);
    writeSync(file, head);
  }
  const places: number[] = [];
  let end = head.length;
  for (let bytes = blockAt(file, end); bytes; bytes = blockAt(file, end)) {
    places.push(end);
    end += HEAD + bytes.length;
  }
  ftruncateSync(file, end);
  return {
    known: places.length,
    *earlier() {
      for (const at of places) yield deserialize(blockAt(file, at)!) as T;
    },
    append(value) {
      const bytes = serialize(value);
      const front = Buffer.alloc(4);
      front.writeUInt32LE(bytes.length);
      writeSync(file, Buffer.concat([front, digestOf(bytes), bytes]));
    },
    close: () => closeSync(file),
  };
}

/** A block's bytes; null where there is no whole one. */
function blockAt(file: number, at: number): Buffer | null {
  const front = block(file, at, HEAD);
  if (!front) return null;
  const length = front.readUInt32LE();
  if (length > LONGEST || at + HEAD + length > fstatSync(file).size) return null;
  const bytes = block(file, at + HEAD, length);
  return bytes && digestOf(bytes).equals(front.subarray(4)) ? bytes : null;
}

function block(file: number, at: number, length: number): Buffer | null {
  const bytes = Buffer.alloc(length);
  return readSync(file, bytes, 0, length, at) === length ? bytes : null;
}
