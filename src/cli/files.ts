import { constants, createReadStream } from 'node:fs';
import { open, readdir, stat } from 'node:fs/promises';
import { jsonFaultText, parseJson } from '../formats/json-text.ts';
import { failure, success, type Result } from '../result.ts';
import { say, whyNot } from './streams.ts';

/** The largest files that are read, bytes. */
export const MOST_BYTES = { photo: 200e6, text: 400e6 } as const;

/**
 * The bytes of a regular file; a folder, a pipe or a device is refused at once (reading a pipe that nobody writes to never ends).
 * Fails with the path and what stood in the way.
 */
export async function fileBytes(
  path: string,
  most: number = MOST_BYTES.photo,
): Promise<Result<Uint8Array<ArrayBuffer>, string>> {
  let file;
  try {
    file = await open(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
    const stat = await file.stat();
    if (!stat.isFile()) return failure(`${path} is no regular file`);
    if (stat.size > most) return failure(`${path} has ${stat.size} bytes, at most ${most} are read`);
    return success(new Uint8Array(await file.readFile()));
  } catch (error) {
    return failure(`${path} cannot be read: ${whyNot(error as NodeJS.ErrnoException)}`);
  } finally {
    await file?.close();
  }
}

const PICTURE = /\.(jpe?g|png|webp|avif|tiff?|heic|heif)$/i;
/** What stands in a name for bytes that are no UTF-8. */
const NO_UTF8 = '\ufffd';

/**
 * Names of the pictures that lie in a folder, in their order; none where there is no such folder. Pictures whose names are not UTF-8 cannot
 * be named in any result: they are told of, and left out.
 */
export async function pictureNames(folder: string): Promise<string[]> {
  const names = (await readdir(folder).catch(() => [])).filter((name) => PICTURE.test(name)).sort();
  const nameless = names.filter((name) => name.includes(NO_UTF8)).length;
  if (nameless > 0) say(`${nameless} pictures are left out: their names are not UTF-8 text; rename them\n`);
  return names.filter((name) => !name.includes(NO_UTF8));
}

/**
 * The text of a file, UTF-8, without its byte order mark.
 *
 * @param piped  Whether it may be a pipe (`rolls <(evencast measure ...)`): for files that a person named, never for those of a folder.
 */
export async function fileText(path: string, piped = false): Promise<Result<string, string>> {
  const isPipe =
    piped &&
    (await stat(path).then(
      (s) => s.isFIFO(),
      () => false,
    ));
  const bytes = isPipe ? await streamed(createReadStream(path), path) : await fileBytes(path, MOST_BYTES.text);
  return bytes.ok ? success(new TextDecoder('utf-8').decode(bytes.value)) : bytes;
}

/** The text that comes on stdin, bounded as {@link fileText}'s. */
export async function stdinText(): Promise<Result<string, string>> {
  const bytes = await streamed(process.stdin, 'stdin');
  return bytes.ok ? success(new TextDecoder('utf-8').decode(bytes.value)) : bytes;
}

/** All bytes of a stream; what goes on beyond the bound (`yes | ...`) is not waited for. */
async function streamed(
  stream: AsyncIterable<Uint8Array> & { destroy(): unknown },
  name: string,
): Promise<Result<Uint8Array, string>> {
  const parts: Uint8Array[] = [];
  let size = 0;
  try {
    for await (const part of stream) {
      parts.push(part);
      size += part.length;
      if (size <= MOST_BYTES.text) continue;
      stream.destroy();
      return failure(`${name} has more than ${MOST_BYTES.text} bytes, at most so many are read`);
    }
  } catch (error) {
    return failure(`${name} cannot be read: ${whyNot(error as NodeJS.ErrnoException)}`);
  }
  return success(Buffer.concat(parts));
}

/** The value of a JSON file; bounded in size and depth. `piped` as for {@link fileText}. */
export async function fileJson(path: string, piped = false): Promise<Result<unknown, string>> {
  const text = await fileText(path, piped);
  if (!text.ok) return text;
  const json = parseJson(text.value);
  return json.ok ? json : failure(`${path}: ${jsonFaultText(json.error)}`);
}
