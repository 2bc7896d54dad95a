import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { deserialize, serialize } from 'node:v8';

/** Values on the disk under numbers, of which memory holds only where they lie. */
export interface Spool<T> {
  put(number: number, value: T): void;
  get(number: number): T;
  /** Takes them off the disk. */
  close(): void;
}

/** A spool in a new folder for temporary files. */
export function openSpool<T>(): Spool<T> {
  const folder = mkdtempSync(join(tmpdir(), 'evencast-'));
  const file = openSync(join(folder, 'spool'), 'wx+', 0o600);
  const places: (readonly [at: number, length: number])[] = [];
  let end = 0;
  return {
    put(number, value) {
      const bytes = serialize(value);
      writeSync(file, bytes, 0, bytes.length, end);
      places[number] = [end, bytes.length];
      end += bytes.length;
    },
    get(number) {
      const [at, length] = places[number]!;
      const bytes = Buffer.alloc(length);
      readSync(file, bytes, 0, length, at);
      return deserialize(bytes) as T;
    },
    close() {
      closeSync(file);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
