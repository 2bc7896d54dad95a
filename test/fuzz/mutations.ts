import fc, { type Arbitrary } from 'fast-check';

/** What stands where nobody expects it. None holds a word by which `outcome.ts` knows a library's message. */
const STRANGE: readonly unknown[] = [
  null,
  true,
  false,
  0,
  -0,
  -1,
  0.5,
  1e-308,
  1e308,
  -1e308,
  2 ** 53,
  2 ** 31,
  1e15,
  '',
  ' ',
  '0',
  '-1',
  'x',
  '__proto__',
  'constructor',
  'toString',
  '\u0000',
  '\u001b[2J',
  '\u202egpj',
  '\ufeff',
  '\ud83c',
  'W'.repeat(5000),
  '=1+1',
  '<b>',
  '../../a',
  [],
  [[]],
  {},
  [null],
  { toString: 1 },
  { length: 3 },
  { then: 1 },
  { toJSON: 1 },
  JSON.parse('{"__proto__": {"polluted": 1}}'),
  Array.from({ length: 300 }, (_, i) => i),
];

/** A copy: what one input changes in it, the next must not find. */
const strangeValue = (which: number): unknown => structuredClone(STRANGE[which]);

interface Edit {
  readonly where: number;
  readonly how: 'replace' | 'remove' | 'twin' | 'scale' | 'swap' | 'rename';
  readonly strange: number;
  readonly factor: number;
}

const EDITS: Arbitrary<Edit[]> = fc.array(
  fc.record({
    where: fc.nat(1e6),
    how: fc.constantFrom<Edit['how'][]>('replace', 'remove', 'twin', 'scale', 'scale', 'scale', 'swap', 'rename'),
    strange: fc.nat(STRANGE.length - 1),
    factor: fc.constantFrom(0, -1, 1e-6, 0.5, 0.99, 1.01, 2, 1000, 1e12, 1e300),
  }),
  { minLength: 1, maxLength: 4 },
);

type Holder = Record<string, unknown> | unknown[];
interface Place {
  readonly holder: Holder;
  readonly key: string | number;
}

/** All places in a JSON value, outer ones first. */
function placesOf(json: unknown): Place[] {
  const places: Place[] = [];
  const open: unknown[] = [json];
  for (let i = 0; i < open.length && places.length < 20_000; i++) {
    const holder = open[i];
    if (typeof holder !== 'object' || holder === null) continue;
    for (const key of Array.isArray(holder) ? holder.keys() : Object.keys(holder)) {
      places.push({ holder: holder as Holder, key });
      open.push((holder as Record<string | number, unknown>)[key]);
    }
  }
  return places;
}

/** JSON values like a good one, with some places other than they should be. */
export function mutatedJson(good: unknown): Arbitrary<unknown> {
  return EDITS.map((edits) => {
    const json = structuredClone(good);
    for (const edit of edits) {
      // Places deep down are many: every other edit stays near the top.
      const places = placesOf(json);
      if (places.length === 0) break;
      const among = edit.where % 2 === 0 ? places.length : Math.min(places.length, 60);
      applyEdit(places[edit.where % among]!, edit, places);
    }
    return json;
  });
}

function applyEdit({ holder, key }: Place, { how, strange, factor, where }: Edit, places: readonly Place[]): void {
  const slots = holder as Record<string | number, unknown>;
  const value = slots[key];
  const other = places[(where * 7919) % places.length]!;
  switch (how) {
    case 'remove':
      if (Array.isArray(holder)) holder.splice(Number(key), 1);
      else delete slots[key];
      return;
    case 'twin':
      if (Array.isArray(holder)) holder.splice(Number(key), 0, structuredClone(value));
      else slots[`${key}2`] = structuredClone(value);
      return;
    case 'scale':
      slots[key] = typeof value === 'number' ? value * factor : strangeValue(strange);
      return;
    case 'swap':
      slots[key] = structuredClone((other.holder as Record<string | number, unknown>)[other.key]);
      return;
    case 'rename':
      if (Array.isArray(holder)) slots[key] = strangeValue(strange);
      else {
        delete slots[key];
        Object.defineProperty(holder, String(STRANGE[strange] === null ? 'null' : key) + (factor > 1 ? 's' : ''), {
          value,
          enumerable: true,
          configurable: true,
          writable: true,
        });
      }
      return;
    case 'replace':
      slots[key] = strangeValue(strange);
  }
}

/** Bytes like those of a good file: flipped, cut, doubled, moved, overwritten by marks of formats. */
export function mutatedBytes(good: Uint8Array, within: readonly [number, number] = [0, 1]): Arbitrary<Uint8Array> {
  const place = fc.double({ min: within[0], max: within[1], noNaN: true });
  const edit = fc.record({
    at: place,
    to: place,
    how: fc.constantFrom('flip', 'flip', 'flip', 'byte', 'cut', 'drop', 'double', 'zero', 'mark', 'length'),
    byte: fc.nat(255),
    size: fc.constantFrom(1, 2, 4, 16, 64, 512, 4096),
  });
  return fc.array(edit, { minLength: 1, maxLength: 6 }).map((edits) => {
    let bytes: Uint8Array = good.slice();
    for (const { at, how, byte, size, to } of edits) {
      const k = Math.min(bytes.length - 1, Math.floor(at * bytes.length));
      const m = Math.min(bytes.length - 1, Math.floor(to * bytes.length));
      if (bytes.length === 0) break;
      if (how === 'flip') bytes[k]! ^= 1 << (byte & 7);
      if (how === 'byte') bytes[k] = byte;
      if (how === 'length' && bytes.length >= 4)
        new DataView(bytes.buffer).setUint32(
          Math.min(k, Math.max(0, bytes.length - 4)),
          byte * 0x01010101,
          byte % 2 === 0,
        );
      if (how === 'zero') bytes.fill(0, k, k + size);
      if (how === 'mark') bytes.set([0xff, 0xd8 + (byte & 7)].slice(0, bytes.length - k), k);
      if (how === 'cut') bytes = bytes.slice(0, k);
      if (how === 'drop') bytes = joined(bytes.subarray(0, k), bytes.subarray(k + size));
      if (how === 'double') bytes = joined(bytes.subarray(0, k), bytes.subarray(m, m + size), bytes.subarray(k));
    }
    return bytes;
  });
}

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(parts.reduce((n, p) => n + p.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}
