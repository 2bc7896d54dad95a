import { writeFile } from 'node:fs/promises';
import { failure, success, type Result } from '../result.ts';
import { escapedJson } from '../formats/json-text.ts';
import { EXIT } from './command.ts';
import { visible } from '../report/record/plain-text.ts';

/** A reader that has read enough (`| head`) ends the command without a word; any other fault of the outputs ends it with one. */
export function watchStreams(): void {
  for (const stream of [process.stdout, process.stderr])
    stream.on('error', (error: NodeJS.ErrnoException) => {
      if (error.code === 'EPIPE') process.exit(EXIT.done);
      if (stream === process.stdout)
        process.stderr.write(`evencast: the output cannot be written: ${whyNot(error)}\n`, () =>
          process.exit(EXIT.failed),
        );
      else process.exit(EXIT.failed);
    });
}

/** Text as a terminal may have it: names of files cannot move its cursor, change its colours or turn its direction. */
const shown = (text: string): string => text.split('\n').map(visible).join('\n');

/** Progress and faults, to stderr. */
export function say(text: string): void {
  process.stderr.write(shown(text));
}

/** Text for a person, to stdout. */
export function print(text: string): void {
  process.stdout.write(shown(text));
}

/** JSON on stdout: unseen characters of names as escapes, which mean the same. */
export function printJson(text: string): void {
  process.stdout.write(escapedJson(text));
}

/** Writes a file, or stdout where `out` is null; fails with what stood in the way. A file is readable by all unless `secret`. */
export async function put(
  data: Uint8Array | string,
  out: string | null,
  secret = false,
): Promise<Result<null, string>> {
  if (out === null) {
    await new Promise<void>((done) => process.stdout.write(data, () => done()));
    return success(null);
  }
  try {
    await writeFile(out, data, secret ? { mode: 0o600, flag: 'wx' } : {});
    return success(null);
  } catch (error) {
    return failure(`${out} cannot be written: ${whyNot(error as NodeJS.ErrnoException)}`);
  }
}

/** Why a file cannot be read or written, in words. */
export function whyNot({ code }: NodeJS.ErrnoException): string {
  const words: Readonly<Record<string, string>> = {
    ENOENT: 'no such file or folder',
    EISDIR: 'it is a folder',
    ENOTDIR: 'a part of its path is no folder',
    ENOSPC: 'no room is left on the device',
    EACCES: 'it is not allowed',
    EPERM: 'it is not allowed',
    EROFS: 'the device can only be read',
    EEXIST: 'it exists already; nothing is written over',
    ENAMETOOLONG: 'its name is too long',
    EMFILE: 'too many files are open',
    ELOOP: 'its links lead in a circle',
  };
  return words[code ?? ''] ?? `the system says ${code ?? 'nothing more'}`;
}
