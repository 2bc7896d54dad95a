import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { crc32 } from '../src/ui/store/crc32.ts';
import { dieFile, readDieFile } from '../src/ui/store/die-file.ts';
import { RECORDS } from '../src/ui/store/records.ts';
import { Zip, zip } from '../src/ui/store/zip.ts';
import { freshStore, someCard, someDie } from './support/kept.ts';

let kept: Awaited<ReturnType<typeof freshStore>>;
beforeEach(async () => {
  kept = await freshStore();
});
afterEach(() => kept.drop());

const bytesOf = async (blob: Blob): Promise<Uint8Array<ArrayBuffer>> => new Uint8Array(await blob.arrayBuffer());

/** A store with two dice on one card, three photos in all, and the file of both. */
async function someFile(): Promise<{
  file: Blob;
  dice: ReturnType<typeof someDie>[];
  card: ReturnType<typeof someCard>;
}> {
  const card = someCard();
  const dice = [someDie(2, { card: card.id, log: '1 2 3' }), someDie(1, { card: card.id, name: 'slate', kind: 'd8' })];
  const judged = {
    photo: '01.jpg',
    up: '1',
    front: '2',
    status: 'used' as const,
    code: null,
    remark: null,
    notes: [],
    cardPoints: 48,
    cardSigma: 0.05,
    lean: 12,
    scale: 0.05,
    blur: null,
    outline: null,
  };
  await kept.store.write([
    { store: 'cards', put: card },
    ...dice.map((put) => ({ store: 'dice' as const, put })),
    ...dice.flatMap((die) =>
      die.shots.map(({ photo, name }) => ({
        store: 'photos' as const,
        put: { id: photo, die: die.id, name, file: new Blob([`${die.name} ${name}`]) },
      })),
    ),
    {
      store: 'found',
      put: { version: RECORDS, id: dice[0]!.id, judged: { [dice[0]!.shots[0]!.photo]: judged }, outcome: null },
    },
  ]);
  return {
    file: await dieFile(
      kept.store,
      dice.map(({ id }) => id),
    ),
    dice,
    card,
  };
}

test('the checksum is that of its standard, by its check value', () => {
  // ITU-T V.42, 8.1.1.6.2; the check value of "123456789" as catalogues of CRCs give it (from memory).
  expect(crc32(new TextEncoder().encode('123456789'))).toBe(0xcbf43926);
  expect(crc32(new Uint8Array())).toBe(0);
});

describe('an archive', () => {
  const parts = [
    { name: 'ä.txt', content: new Blob(['Würfel']) },
    { name: 'folder/empty', content: new Blob([]) },
  ];

  test('gives its parts back, and is the same bytes each time', async () => {
    const file = await zip(parts);
    expect(await bytesOf(await zip(parts))).toEqual(await bytesOf(file));
    const opened = await Zip.open(file);
    if (!opened.ok) throw new Error(opened.error.code);
    expect(opened.value.names).toEqual(['ä.txt', 'folder/empty']);
    const part = await opened.value.part('ä.txt', 100);
    expect(part.ok && (await part.value.text())).toBe('Würfel');
    expect(await opened.value.part('other', 100)).toMatchObject({ ok: false, error: { place: 'other' } });
    expect(await opened.value.part('ä.txt', 3)).toMatchObject({ ok: false, error: { code: 'zip-large', limit: 3 } });
  });

  test('packed anew with compression is read too', async () => {
    const text = 'the same words '.repeat(50);
    const stream = new Blob([text]).stream().pipeThrough(new CompressionStream('deflate-raw'));
    const packed = new Uint8Array(await new Response(stream).arrayBuffer());
    const bytes = await bytesOf(await zip([{ name: 'a', content: new Blob([packed]) }]));
    const view = new DataView(bytes.buffer);
    const central = bytes.length - 22 - 46 - 1;
    for (const at of [8, central + 10]) view.setUint16(at, 8, true);
    view.setUint32(central + 16, crc32(new TextEncoder().encode(text)), true);
    view.setUint32(central + 24, text.length, true);
    const opened = await Zip.open(new Blob([bytes]));
    const part = opened.ok ? await opened.value.part('a', 1e4) : opened;
    expect(part.ok && (await part.value.text())).toBe(text);
    // Announcing less than there is must not fill the memory.
    view.setUint32(central + 24, 10, true);
    const bomb = await Zip.open(new Blob([bytes]));
    expect(bomb.ok && (await bomb.value.part('a', 1e4)).ok).toBe(false);
  });

  /** An archive of two parts, its bytes changed; where its central directory starts. */
  const changed = async (change: (view: DataView, directory: number) => void): Promise<string> => {
    const bytes = await bytesOf(
      await zip([
        { name: 'a', content: new Blob(['first']) },
        { name: 'b', content: new Blob(['other']) },
      ]),
    );
    const view = new DataView(bytes.buffer);
    change(view, view.getUint32(bytes.length - 6, true));
    const opened = await Zip.open(new Blob([bytes]));
    return opened.ok ? 'opened' : opened.error.code;
  };
  const SECOND = 46 + 1;
  test.each<[string, (view: DataView, directory: number) => void, RegExp]>([
    ['two parts of one name', (view, at) => view.setUint8(at + SECOND + 46, 97), /zip-twice/],
    ['parts over one another', (view, at) => view.setUint32(at + SECOND + 42, 0, true), /zip-overlap/],
    [
      'more than it can hold',
      (view, at) => [at, at + SECOND].forEach((a) => view.setUint32(a + 24, 0xf0000000, true)),
      /zip-unpacks/,
    ],
    [
      'far more than a file of its size can be',
      (view, at) => [at, at + SECOND].forEach((a) => view.setUint32(a + 24, 45_000_000, true)),
      /zip-unpacks/,
    ],
    ['a count that wrapped around', (view) => view.setUint16(view.byteLength - 12, 1, true), /zip-list/],
  ])('with %s is refused', async (_what, change, why) => {
    expect(await changed(() => undefined)).toBe('opened');
    expect(await changed(change)).toMatch(why);
  });
});

describe('a file of dice', () => {
  test('brings them back whole, under ids of their own, on a card that is here already', async () => {
    const { file, dice, card } = await someFile();
    const read = await readDieFile(file, await kept.store.cards(), 99);
    if (!read.ok) throw new Error(read.error.place);
    expect((await kept.store.write(read.value.changes)).ok).toBe(true);
    expect(await kept.store.cards()).toEqual([card]);
    const all = (await kept.store.dice()).dice;
    expect(all).toHaveLength(4);
    for (const [i, id] of read.value.dice.entries()) {
      const [before, after] = [dice[i]!, (await kept.store.die(id))!];
      const bare = ({ name, kind, log, bars, card: on, made }: typeof before): unknown => [
        name,
        kind,
        log,
        bars,
        on,
        made,
      ];
      expect(bare(after)).toEqual(bare(before));
      expect(after.id).not.toBe(before.id);
      expect(after.changed).toBe(99);
      const photos = await kept.store.photos(id);
      const texts = await Promise.all(after.shots.map(({ photo }) => photos.find((p) => p.id === photo)!.file.text()));
      expect(texts).toEqual(before.shots.map(({ name }) => `${before.name} ${name}`));
    }
    const [first] = read.value.dice;
    const found = (await kept.store.found(first!))!;
    expect(Object.keys(found.judged)).toEqual([(await kept.store.die(first!))!.shots[0]!.photo]);
  });

  test('in another browser brings its card along', async () => {
    const { file, card } = await someFile();
    const read = await readDieFile(file, [], 99);
    const cards = read.ok ? read.value.changes.filter(({ store }) => store === 'cards') : [];
    expect(cards).toMatchObject([{ put: { name: card.name, bars: card.bars, revision: 1 } }]);
  });

  test('of all that is kept has every card, and what rooms keep', async () => {
    await someFile();
    const [unused, room] = [someCard({ name: 'unused' }), { id: 'aaaaaaaabbbb', room: 'bin', data: { tally: [1, 2] } }];
    await kept.store.write([
      { store: 'cards', put: unused },
      { store: 'rooms', put: { ...room, version: RECORDS, revision: 1, changed: 5 } },
    ]);
    const one = await readDieFile(await dieFile(kept.store, []), [], 1);
    expect(one).toMatchObject({ ok: true, value: { changes: [] } });
    const all = await readDieFile(await dieFile(kept.store, [], true), [], 1);
    const changes = all.ok ? all.value.changes : [];
    expect(changes.map((c) => c.store).sort()).toEqual(['cards', 'cards', 'rooms']);
    expect(changes.at(-1)).toMatchObject({ put: { room: 'bin', data: { tally: [1, 2] }, changed: 5, revision: 1 } });
  });

  test('cut off anywhere, or with a byte changed anywhere, is refused or brings the same', async () => {
    const { file } = await someFile();
    const bytes = await bytesOf(file);
    const shape = (read: Awaited<ReturnType<typeof readDieFile>>): unknown =>
      read.ok ? read.value.changes.map((c) => ('put' in c && c.store === 'dice' ? c.put.name : c.store)) : null;
    const whole = shape(await readDieFile(file, [], 1));
    const step = Math.ceil(bytes.length / 120);
    let refused = 0;
    for (let at = 0; at < bytes.length; at += step) {
      const cut = await readDieFile(new Blob([bytes.slice(0, at)]), [], 1);
      expect(cut.ok).toBe(false);
      const changed = bytes.slice();
      changed[at]! ^= 0x55;
      const read = await readDieFile(new Blob([changed]), [], 1);
      if (read.ok) expect(shape(read)).toEqual(whole);
      else refused++;
    }
    // Nearly every byte matters: the rest are names and dates of the archive's own.
    expect(refused).toBeGreaterThan(90);
  });

  const withList = (list: unknown): Promise<Blob> =>
    zip([{ name: 'evencast.json', content: new Blob([typeof list === 'string' ? list : JSON.stringify(list)]) }]);
  const head = { format: 'evencast-dice/1', dice: [] as unknown[], found: [] as unknown[], cards: [] as unknown[] };
  test.each([
    ['no archive', new Blob(['no archive']), 'archive'],
    ['without a list', zip([{ name: 'other.json', content: new Blob(['{}']) }]), 'evencast.json'],
    ['whose list is no JSON', withList('{ "format": '), 'evencast.json'],
    ['of another format', withList({ ...head, format: 'other/1' }), 'evencast.json: format'],
    [
      'with a die of seven faces',
      withList({ ...head, dice: [someDie(), { ...someDie(), kind: 'd7' }] }),
      'dice[1].kind',
    ],
    ['with a number that is none', withList({ ...head, dice: [{ ...someDie(), made: 'today' }] }), 'dice[0].made'],
    ['of a later version', withList({ ...head, dice: [{ ...someDie(), version: 99 }] }), 'dice[0].version'],
    ['with an id that is a path', withList({ ...head, dice: [{ ...someDie(), id: '../../etc' }] }), 'dice[0].id'],
    ['with a photo missing', withList({ ...head, dice: [someDie(1)] }), 'photos/'],
    ['with a card of no length', withList({ ...head, cards: [{ ...someCard(), bars: {} }] }), 'cards[0].bars.x'],
  ])('%s is refused with the place named', async (_what, made, place) => {
    const read = await readDieFile(await made, [], 1);
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.error.place).toContain(place);
  });
});
