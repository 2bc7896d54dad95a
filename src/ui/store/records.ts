export { ASIDE, CARD_RECORD, DIE, FOUND, RECORDS, ROOM_RECORD } from '../../formats/kept.ts';
export type { CardRecord, DieRecord, FoundRecord, RoomRecord, ShotRecord } from '../../formats/kept.ts';

/** A photo's file. */
export interface PhotoRecord {
  readonly id: string;
  readonly die: string;
  readonly name: string;
  readonly file: Blob;
}

/** A photo made small, so that lists need not decode it again. */
export interface ThumbnailRecord {
  readonly id: string;
  readonly die: string;
  readonly file: Blob;
}

/** An id that nobody else has. Works without a secure origin too. */
export function newId(): string {
  return [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}
