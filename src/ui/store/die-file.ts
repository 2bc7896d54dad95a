import { parseJson, type JsonFault } from '../../formats/json-text.ts';
import * as v from 'valibot';
import { read, type FormatFault } from '../../formats/read.ts';
import { failure, success, type Result } from '../../result.ts';
import { MOST_SHOTS } from '../../formats/job.ts';
import {
  newId,
  RECORDS,
  type CardRecord,
  type DieRecord,
  type FoundRecord,
  type PhotoRecord,
  type RoomRecord,
} from './records.ts';
import type { Change, Store } from './store.ts';
import { readCard, readDie, readFound, readRoom, type RecordFault } from './upgrade.ts';
import { Zip, zip, type ZipFault, type ZipPart } from './zip.ts';

/** The list in a file of dice: what is in it, beside the photos, which are files of their own in the archive. */
export const FILE_FORMAT = 'evencast-dice/1';
const LIST = 'evencast.json';
/** Bounds of what is taken in, bytes. */
const LARGEST_LIST = 100e6;
const LARGEST_PHOTO = 100e6;
const MOST_DICE = 1000;

const FILE = v.object({
  format: v.literal(FILE_FORMAT),
  dice: v.pipe(v.array(v.unknown()), v.maxLength(MOST_DICE)),
  found: v.pipe(v.array(v.unknown()), v.maxLength(MOST_DICE)),
  cards: v.pipe(v.array(v.unknown()), v.maxLength(MOST_DICE)),
  /** What rooms keep beside dice: lots, bins, choices for reports. Only a file of all has them. */
  rooms: v.optional(v.pipe(v.array(v.unknown()), v.maxLength(MOST_DICE)), []),
});

/** What is wrong with a file, and where in it. */
export interface DieFileFault {
  readonly code: 'file';
  readonly place: string;
  readonly why:
    | RecordFault
    | Omit<ZipFault, 'place'>
    | { readonly code: 'no-json'; readonly why: JsonFault }
    | { readonly code: 'stopped'; readonly detail: string };
}

const photoPath = (die: string, photo: string): string => `photos/${die}/${photo}`;

/**
 * One file with these dice: their entries, photos, verdicts, results and cards. Rejects where a photo cannot be read any more.
 *
 * @param all  Whether the file shall hold all that is kept: then all cards, and what rooms keep, go along.
 */
export async function dieFile(store: Store, ids: readonly string[], all = false): Promise<Blob> {
  const dice: DieRecord[] = [];
  const found: FoundRecord[] = [];
  const photos: ZipPart[] = [];
  for (const id of ids) {
    const die = await store.die(id);
    if (die === null) continue;
    dice.push({ ...die, measuring: false, removed: null });
    const what = await store.found(id);
    if (what !== null) found.push(what);
    for (const photo of await store.photos(id))
      if (die.shots.some((shot) => shot.photo === photo.id))
        photos.push({ name: photoPath(id, photo.id), content: photo.file });
  }
  const used = new Set(dice.map(({ card }) => card));
  const cards = (await store.cards()).filter(({ id }) => all || used.has(id));
  const rooms = all ? await store.allRooms() : [];
  const list = JSON.stringify({ format: FILE_FORMAT, dice, found, cards, rooms }, null, 1);
  return zip([{ name: LIST, content: new Blob([list]) }, ...photos]);
}

/** What a file brings: changes that take it in as a whole, and the ids of its dice. */
export interface Brought {
  readonly changes: readonly Change[];
  readonly dice: readonly string[];
}

/**
 * Reads a file of dice completely and checks it. Everything gets ids of its own, so that nothing kept is written over; a card
 * that is here already with the same lengths is not taken in twice.
 */
export async function readDieFile(
  file: Blob,
  kept: readonly CardRecord[],
  now: number,
): Promise<Result<Brought, DieFileFault>> {
  const archive = await Zip.open(file);
  if (!archive.ok) return failure(asFile(archive.error));
  const list = await readList(archive.value);
  if (!list.ok) return list;
  const cards = new Map<string, string>();
  const changes: Change[] = [];
  for (const card of list.value.cards) {
    const alike = kept.find(
      ({ name, bars }) => name === card.name && JSON.stringify(bars) === JSON.stringify(card.bars),
    );
    cards.set(card.id, alike?.id ?? newId());
    if (alike === undefined) changes.push({ store: 'cards', put: { ...card, id: cards.get(card.id)!, revision: 1 } });
  }
  const dice: string[] = [];
  for (const [i, die] of list.value.dice.entries()) {
    const found = list.value.found.find(({ id }) => id === die.id) ?? null;
    const brought = await broughtDie(archive.value, die, found, cards, now);
    if (!brought.ok) return failure({ ...brought.error, place: `${brought.error.place} (dice[${i}])` });
    changes.push(...brought.value.changes);
    dice.push(brought.value.id);
  }
  for (const room of list.value.rooms) changes.push({ store: 'rooms', put: { ...room, id: newId(), revision: 1 } });
  return success({ changes, dice });
}

interface List {
  readonly dice: readonly DieRecord[];
  readonly found: readonly FoundRecord[];
  readonly cards: readonly CardRecord[];
  readonly rooms: readonly RoomRecord[];
}

async function readList(archive: Zip): Promise<Result<List, DieFileFault>> {
  const wrong = (why: DieFileFault['why'], place = ''): Result<never, DieFileFault> =>
    failure({ code: 'file', place: `${LIST}${place === '' ? '' : `: ${place}`}`, why });
  const part = await archive.part(LIST, LARGEST_LIST);
  if (!part.ok) return failure(asFile(part.error));
  const json = parseJson(await part.value.text());
  if (!json.ok) return wrong({ code: 'no-json', why: json.error });
  const parsed = read(FILE, json.value);
  if (!parsed.ok) return wrong(parsed.error, parsed.error.place);
  const dice = all('dice', parsed.value.dice, readDie);
  if (!dice.ok) return wrong(dice.error, dice.error.place);
  const found = all('found', parsed.value.found, readFound);
  if (!found.ok) return wrong(found.error, found.error.place);
  const cards = all('cards', parsed.value.cards, readCard);
  if (!cards.ok) return wrong(cards.error, cards.error.place);
  const rooms = all('rooms', parsed.value.rooms, readRoom);
  if (!rooms.ok) return wrong(rooms.error, rooms.error.place);
  const tooMany = dice.value.findIndex(({ shots }) => shots.length > MOST_SHOTS);
  if (tooMany >= 0) {
    const place = `dice[${tooMany}].shots`;
    const fault: FormatFault = { code: 'wrong', place, need: 'most-entries', limit: MOST_SHOTS, seen: null };
    return wrong(fault, place);
  }
  return success({ dice: dice.value, found: found.value, cards: cards.value, rooms: rooms.value });
}

function all<T>(
  name: string,
  records: readonly unknown[],
  readOne: (record: unknown) => Result<T, RecordFault>,
): Result<T[], RecordFault> {
  const list: T[] = [];
  for (const [i, record] of records.entries()) {
    const one = readOne(record);
    if (!one.ok)
      return failure({ ...one.error, place: `${name}[${i}]${one.error.place === '' ? '' : '.'}${one.error.place}` });
    list.push(one.value);
  }
  return success(list);
}

async function broughtDie(
  archive: Zip,
  die: DieRecord,
  found: FoundRecord | null,
  cards: ReadonlyMap<string, string>,
  now: number,
): Promise<Result<{ readonly id: string; readonly changes: readonly Change[] }, DieFileFault>> {
  const id = newId();
  const photos = new Map(die.shots.map(({ photo }) => [photo, newId()]));
  const changes: Change[] = [];
  for (const { photo, name } of die.shots) {
    const file = await archive.part(photoPath(die.id, photo), LARGEST_PHOTO);
    if (!file.ok) return failure(asFile(file.error));
    const put: PhotoRecord = { id: photos.get(photo)!, die: id, name, file: file.value };
    changes.push({ store: 'photos', put });
  }
  const shots = die.shots.map((shot) => ({ ...shot, photo: photos.get(shot.photo)! }));
  const card = die.card === null ? null : (cards.get(die.card) ?? null);
  const fresh = { measuring: false, removed: null, revision: 1, changed: now };
  changes.push({ store: 'dice', put: { ...die, ...fresh, id, shots, card } });
  if (found !== null) {
    const judged = Object.fromEntries(
      Object.entries(found.judged).flatMap(([photo, verdict]) =>
        photos.has(photo) ? [[photos.get(photo)!, verdict]] : [],
      ),
    );
    changes.push({ store: 'found', put: { version: RECORDS, id, judged, outcome: found.outcome } });
  }
  return success({ id, changes });
}

const asFile = ({ place, ...why }: ZipFault): DieFileFault => ({ code: 'file', place, why });
