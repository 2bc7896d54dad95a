import type { FacesPicture } from '../../formats/faces-picture.ts';
import type { Job, MeasureResult } from '../../formats/result.ts';
import {
  ABOUT_KEYS,
  REPORT_FORMAT,
  type About,
  type InstrumentCheck,
  type PhotoDigest,
  type ReportData,
  type ReportRecord,
  type ReportResult,
} from '../../formats/report.ts';
import { assess } from './assess.ts';
import { utf8 } from './bytes.ts';
import { canonicalJson } from './canonical-json.ts';
import type { DecisionRule, Tolerance } from '../../formats/report.ts';
import { JOINT } from './joint.ts';
import { modelDigest } from './model-digest.ts';
import { fileName, typed, TYPED } from './plain-text.ts';
import type { ThrownRolls } from '../../bias/meaning/thrown-rolls.ts';
import { rollsOf } from './rolls-data.ts';
import { sha256, sha256Hex } from './sha256.ts';

export { ABOUT_KEYS, REPORT_FORMAT } from '../../formats/report.ts';
export type { About, PhotoDigest, ReportData, ReportRecord, ReportResult } from '../../formats/report.ts';

/** What a report is made from. */
export interface ReportInput {
  readonly about: Partial<About>;
  readonly result: MeasureResult | ReportResult;
  readonly job: Job | null;
  readonly photos: readonly { readonly photo: string; readonly data: Uint8Array }[] | readonly PhotoDigest[];
  readonly tolerance: Tolerance;
  readonly rule: DecisionRule;
  readonly version: string;
  /** Throws of the shape, where its rolls need them (`toThrow`). */
  readonly thrown?: ThrownRolls | null;
  /** Counts of rolls of this very die, in the order of its numbers. */
  readonly rolled?: readonly number[] | null;
  /** Readings of the same die by other instruments. */
  readonly checkedAgainst?: readonly InstrumentCheck[];
  /** The die's faces, unfolded. */
  readonly faces?: FacesPicture | null;
}

/** A record without signature. Same input, same record. */
export function reportRecord(input: ReportInput): ReportRecord {
  const result = keptResult(input.result);
  const rolls = rollsOf(result, input.thrown ?? null, input.rolled ?? null);
  const prediction = 'prediction' in rolls ? rolls.prediction : null;
  const data: ReportData = {
    about: keptAbout(input.about),
    result,
    job: input.job,
    photos: input.photos.map((p) => ('sha256' in p ? p : photoDigest(p.photo, p.data))),
    tolerance: input.tolerance,
    rule: input.rule,
    assessment: assess(result, prediction, input.tolerance, input.rule),
    rolls: 'data' in rolls ? rolls.data : null,
    rollsMissing: 'missing' in rolls ? rolls.missing : null,
    software: { name: 'Evencast', version: input.version, model: modelDigest() },
    ...(input.checkedAgainst === undefined || input.checkedAgainst.length === 0
      ? {}
      : { checkedAgainst: input.checkedAgainst.map((c) => ({ ...c, instrument: typed(c.instrument, TYPED.line) })) }),
    ...(input.faces
      ? { faces: { ...input.faces, faces: input.faces.faces.map((f) => ({ ...f, photo: fileName(f.photo) })) } }
      : {}),
    seeds: { joint: JOINT.seed, jointDraws: JOINT.draws },
  };
  return sealed(data);
}

export const photoDigest = (photo: string, data: Uint8Array): PhotoDigest => ({
  photo: fileName(photo),
  sha256: sha256Hex(data),
  bytes: data.length,
});

/** Data with their digest and number. */
export function sealed(data: ReportData): ReportRecord {
  // Through JSON and back: what is digested is what a reader of the file gets.
  const plain = JSON.parse(canonicalJson(data)) as ReportData;
  const digest = dataDigest(plain);
  return {
    format: REPORT_FORMAT,
    number: reportNumber(digest),
    digest: { algorithm: 'SHA-256', of: 'RFC 8785', data: digest },
    data: plain,
    signature: null,
  };
}

/** SHA-256 of the data's canonical JSON, hexadecimal. */
export const dataDigest = (data: unknown): string => sha256Hex(utf8(canonicalJson(data)));

/** Letters and digits that nobody mistakes for each other (Crockford's base 32). */
const LETTERS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** A number of 80 bits made from a digest, e.g. "EV-7K3Q-0M5T-9ZRB-2C4D". */
export function reportNumber(digest: string): string {
  const bits = sha256(utf8(`number of ${digest}`)).slice(0, 10);
  let text = '';
  for (let i = 0; i < 16; i++) {
    const at = 5 * i;
    const two = (bits[at >> 3]! << 8) | (bits[(at >> 3) + 1] ?? 0);
    text += LETTERS[(two >> (11 - (at & 7))) & 31]!;
  }
  return `EV-${text.match(/.{4}/g)!.join('-')}`;
}

function keptAbout(about: Partial<About>): About {
  const note = new Set(['note', 'conditions']);
  return Object.fromEntries(
    ABOUT_KEYS.map((key) => [key, typed(about[key], note.has(key) ? TYPED.note : TYPED.line)]),
  ) as About;
}

const rounded = (list: readonly number[]): number[] => list.map((x) => Math.round(x * 1e4) / 1e4);

function keptResult({ photos, ...rest }: MeasureResult | ReportResult): ReportResult {
  const kept: Omit<ReportResult, 'photos'> & { timing?: unknown } = { ...rest };
  delete kept.timing;
  return {
    ...kept,
    photos: photos.map((p) => ({
      ...p,
      photo: fileName(p.photo),
      outline: p.outline && {
        ...p.outline,
        model: rounded(p.outline.model),
        points: rounded(p.outline.points),
        normals: rounded(p.outline.normals),
        residuals: rounded(p.outline.residuals),
        sigmas: rounded(p.outline.sigmas).map((s) => Math.max(s, 1e-4)),
      },
    })),
  };
}

/** The bytes of a report as JSON, and of what is attached to its other forms. */
export const recordBytes = (record: ReportRecord): Uint8Array => utf8(`${canonicalJson(record)}\n`);

/** Name of the data where another form carries them. */
export const ATTACHMENT_NAME = 'evencast-report.json';
