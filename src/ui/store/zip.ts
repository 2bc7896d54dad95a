import { failure, success, type Result } from '../../result.ts';
import { crc32 } from './crc32.ts';

/**
 * ZIP archives without compression: photos are compressed already, and so every part can be written and read as a piece of a file
 * that is never in memory as a whole.
 *
 * Source: PKWARE APPNOTE 6.3.10, 4.3 (from memory): local header, central directory, end record. Archives of 4 GB and more
 * (ZIP64) are neither written nor read.
 */

export interface ZipPart {
  /** With "/" between folders. */
  readonly name: string;
  readonly content: Blob;
}

/** What is wrong with an archive, and in which part of it. */
export interface ZipFault {
  readonly code:
    | 'zip-none'
    | 'zip-list'
    | 'zip-twice'
    | 'zip-overlap'
    | 'zip-unpacks'
    | 'zip-missing'
    | 'zip-large'
    | 'zip-damaged'
    | 'zip-cut'
    | 'zip-checksum';
  readonly place: string;
  /** Bytes, and how many are taken. */
  readonly seen?: number;
  readonly limit?: number;
}

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const END = 0x06054b50;
const LOCAL_SIZE = 30;
const CENTRAL_SIZE = 46;
const END_SIZE = 22;
/** Names are UTF-8. */
const UTF8 = 0x0800;
/** 1 January 1980, the first day that the format knows: the same content gives the same bytes. */
const DATE = 0x21;
const LARGEST = 0xffffffff;
const MOST_PARTS = 0xffff;
/**
 * What an archive may unpack to, of its own size: photos hardly shrink, their bare pixels and lists some tens of times at the most; beyond
 * this a small file would fill the memory.
 */
const UNPACKED = { times: 20, free: 50e6 } as const;
/** A central directory beyond this is no file of this program. */
const LARGEST_DIRECTORY = 16e6;

function header(size: number, fill: (view: DataView<ArrayBuffer>) => void): ArrayBuffer {
  const view = new DataView(new ArrayBuffer(size));
  fill(view);
  return view.buffer;
}

/** Fields that a local header and a central one share, from `at` on. */
function common(view: DataView, at: number, crc: number, size: number, name: number): void {
  view.setUint16(at, 20, true);
  view.setUint16(at + 2, UTF8, true);
  view.setUint16(at + 8, DATE, true);
  view.setUint16(at + 6, 0, true);
  view.setUint32(at + 10, crc, true);
  view.setUint32(at + 14, size, true);
  view.setUint32(at + 18, size, true);
  view.setUint16(at + 22, name, true);
}

/** An archive of these parts, in this order. Rejects where a part cannot be read any more. @throws {RangeError} From 4 GB on. */
export async function zip(parts: readonly ZipPart[]): Promise<Blob> {
  const pieces: BlobPart[] = [];
  const directory: BlobPart[] = [];
  let at = 0;
  let directorySize = 0;
  for (const { name, content } of parts) {
    const encoded = new TextEncoder().encode(name);
    const crc = crc32(new Uint8Array(await content.arrayBuffer()));
    const start = at;
    const local = header(LOCAL_SIZE, (view) => {
      view.setUint32(0, LOCAL, true);
      common(view, 4, crc, content.size, encoded.length);
    });
    const central = header(CENTRAL_SIZE, (view) => {
      view.setUint32(0, CENTRAL, true);
      view.setUint16(4, 20, true);
      common(view, 6, crc, content.size, encoded.length);
      view.setUint32(42, start, true);
    });
    pieces.push(local, encoded, content);
    directory.push(central, encoded);
    at += LOCAL_SIZE + encoded.length + content.size;
    directorySize += CENTRAL_SIZE + encoded.length;
    if (at + directorySize > LARGEST) throw new RangeError('more than 4 GB');
  }
  const end = header(END_SIZE, (view) => {
    view.setUint32(0, END, true);
    view.setUint16(8, parts.length, true);
    view.setUint16(10, parts.length, true);
    view.setUint32(12, directorySize, true);
    view.setUint32(16, at, true);
  });
  return new Blob([...pieces, ...directory, end], { type: 'application/zip' });
}

interface Entry {
  readonly name: string;
  readonly method: number;
  readonly crc: number;
  readonly packed: number;
  readonly size: number;
  readonly at: number;
}

/** An opened archive; its parts are read, and checked, one by one. */
export class Zip {
  readonly #file: Blob;
  readonly #entries: ReadonlyMap<string, Entry>;

  private constructor(file: Blob, entries: readonly Entry[]) {
    this.#file = file;
    this.#entries = new Map(entries.map((entry) => [entry.name, entry]));
  }

  static async open(file: Blob): Promise<Result<Zip, ZipFault>> {
    const wrong = (code: ZipFault['code']): Result<never, ZipFault> => failure({ code, place: 'archive' });
    const tail = await viewOf(file, Math.max(0, file.size - END_SIZE - 0xffff), file.size);
    let end = tail.byteLength - END_SIZE;
    while (end >= 0 && tail.getUint32(end, true) !== END) end--;
    if (end < 0) return wrong('zip-none');
    const count = tail.getUint16(end + 10, true);
    const [size, start] = [tail.getUint32(end + 12, true), tail.getUint32(end + 16, true)];
    if (start + size > file.size || size > LARGEST_DIRECTORY || count === MOST_PARTS) return wrong('zip-list');
    const directory = await viewOf(file, start, start + size);
    const entries = readDirectory(directory, count, file.size);
    if (entries === null) return wrong('zip-list');
    const fault = listFault(entries, start, file.size);
    return fault === null ? success(new Zip(file, entries)) : failure({ place: 'archive', ...fault });
  }

  get names(): readonly string[] {
    return [...this.#entries.keys()];
  }

  /** A part of at most `most` bytes, unpacked, its checksum compared. */
  async part(name: string, most: number): Promise<Result<Blob, ZipFault>> {
    const wrong = (code: ZipFault['code']): Result<never, ZipFault> => failure({ code, place: name });
    const entry = this.#entries.get(name);
    if (entry === undefined) return wrong('zip-missing');
    if (entry.size > most) return failure({ code: 'zip-large', place: name, seen: entry.size, limit: most });
    const local = await viewOf(this.#file, entry.at, entry.at + LOCAL_SIZE);
    if (local.byteLength < LOCAL_SIZE || local.getUint32(0, true) !== LOCAL) return wrong('zip-damaged');
    const from = entry.at + LOCAL_SIZE + local.getUint16(26, true) + local.getUint16(28, true);
    const packed = this.#file.slice(from, from + entry.packed);
    const bytes = await unpacked(packed, entry);
    if (bytes === null || bytes.length !== entry.size) return wrong('zip-cut');
    if (crc32(bytes) !== entry.crc) return wrong('zip-checksum');
    return success(new Blob([bytes]));
  }
}

async function viewOf(file: Blob, from: number, to: number): Promise<DataView> {
  return new DataView(await file.slice(from, to).arrayBuffer());
}

function readDirectory(view: DataView, count: number, fileSize: number): Entry[] | null {
  const entries: Entry[] = [];
  let at = 0;
  for (let i = 0; i < count; i++) {
    if (at + CENTRAL_SIZE > view.byteLength || view.getUint32(at, true) !== CENTRAL) return null;
    const [nameSize, extra, comment] = [28, 30, 32].map((offset) => view.getUint16(at + offset, true)) as [
      number,
      number,
      number,
    ];
    const from = at + CENTRAL_SIZE;
    if (from + nameSize > view.byteLength) return null;
    const entry: Entry = {
      name: new TextDecoder().decode(new Uint8Array(view.buffer, view.byteOffset + from, nameSize)),
      method: view.getUint16(at + 10, true),
      crc: view.getUint32(at + 16, true),
      packed: view.getUint32(at + 20, true),
      size: view.getUint32(at + 24, true),
      at: view.getUint32(at + 42, true),
    };
    if (entry.at + entry.packed > fileSize) return null;
    entries.push(entry);
    at = from + nameSize + extra + comment;
  }
  // A count that wrapped around, or a list with something behind it.
  return at === view.byteLength ? entries : null;
}

/**
 * What no honest archive has: two parts of one name (which of them counts?), parts that lie over one another or over the list (so
 * that few bytes unpack to any size), more in all than an archive of this kind and size can hold.
 */
function listFault(entries: readonly Entry[], listAt: number, fileSize: number): Omit<ZipFault, 'place'> | null {
  if (new Set(entries.map(({ name }) => name)).size < entries.length) return { code: 'zip-twice' };
  const inOrder = [...entries].sort((a, b) => a.at - b.at);
  for (const [i, { at, packed }] of inOrder.entries())
    if (at + LOCAL_SIZE + packed > (inOrder[i + 1]?.at ?? listAt)) return { code: 'zip-overlap' };
  const total = entries.reduce((sum, { size }) => sum + size, 0);
  const limit = Math.min(LARGEST, UNPACKED.free + UNPACKED.times * fileSize);
  return total > limit ? { code: 'zip-unpacks', seen: total, limit } : null;
}

/** Bytes of a part; null where they cannot be had. Archives packed anew by another program may be compressed. */
async function unpacked(packed: Blob, { method, size }: Entry): Promise<Uint8Array<ArrayBuffer> | null> {
  const [STORED, DEFLATED] = [0, 8];
  if (method === STORED) return new Uint8Array(await packed.arrayBuffer());
  if (method !== DEFLATED) return null;
  const bytes = new Uint8Array(size);
  let filled = 0;
  try {
    const reader = packed.stream().pipeThrough(new DecompressionStream('deflate-raw')).getReader();
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      // More than was announced: a bomb, or damage.
      if (filled + value.length > size) return null;
      bytes.set(value, filled);
      filled += value.length;
    }
  } catch {
    return null;
  }
  return filled === size ? bytes : null;
}
