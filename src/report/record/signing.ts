import { base64, fromBase64 } from '../../formats/base64.ts';
import { utf8 } from './bytes.ts';
import { SIGNATURE_KINDS, type ReportRecord, type SignatureKind } from '../../formats/report.ts';
import { sha256Hex } from './sha256.ts';

export { SIGNATURE_KINDS } from '../../formats/report.ts';
export type { Signature, SignatureKind } from '../../formats/report.ts';

/** A key as the host's cryptography holds it. */
export type Key = object;

/** The part of the Web Cryptography API that signing needs: handed in, since it is the host's. */
export interface Subtle {
  importKey(
    format: 'spki' | 'pkcs8',
    data: Uint8Array,
    algorithm: object,
    extractable: boolean,
    usages: readonly string[],
  ): Promise<Key>;
  exportKey(format: 'spki' | 'pkcs8', key: Key): Promise<ArrayBuffer>;
  sign(algorithm: object, key: Key, data: Uint8Array): Promise<ArrayBuffer>;
  verify(algorithm: object, key: Key, signature: Uint8Array, data: Uint8Array): Promise<boolean>;
  generateKey(algorithm: object, extractable: boolean, usages: readonly string[]): Promise<unknown>;
}

const ALGORITHMS: Readonly<Record<SignatureKind, { readonly key: object; readonly sign: object }>> = {
  'ECDSA-P256': { key: { name: 'ECDSA', namedCurve: 'P-256' }, sign: { name: 'ECDSA', hash: 'SHA-256' } },
  Ed25519: { key: { name: 'Ed25519' }, sign: { name: 'Ed25519' } },
};

/** A pair of keys as it is kept in a file. */
export interface KeyFile {
  readonly format: 'evencast-key/1';
  readonly kind: SignatureKind;
  /** SubjectPublicKeyInfo and PKCS #8 (RFC 5958), base64. Whoever has the private one can sign as you. */
  readonly publicKey: string;
  readonly privateKey: string;
}

/** A new pair of keys. */
export async function newKey(subtle: Subtle, kind: SignatureKind = 'ECDSA-P256'): Promise<KeyFile> {
  const pair = (await subtle.generateKey(ALGORITHMS[kind].key, true, ['sign', 'verify'])) as {
    publicKey: Key;
    privateKey: Key;
  };
  return {
    format: 'evencast-key/1',
    kind,
    publicKey: base64(new Uint8Array(await subtle.exportKey('spki', pair.publicKey))),
    privateKey: base64(new Uint8Array(await subtle.exportKey('pkcs8', pair.privateKey))),
  };
}

/** A file of keys as read; null where it is none. */
export function readKeyFile(json: unknown): KeyFile | null {
  const key = json as Partial<KeyFile> | null;
  return key?.format === 'evencast-key/1' &&
    SIGNATURE_KINDS.includes(key.kind as SignatureKind) &&
    typeof key.publicKey === 'string' &&
    typeof key.privateKey === 'string' &&
    fromBase64(key.publicKey) !== null &&
    fromBase64(key.privateKey) !== null
    ? (key as KeyFile)
    : null;
}

/** What is signed: the format and the digest of the data. */
export const signedBytes = (record: ReportRecord): Uint8Array => utf8(`${record.format}\n${record.digest.data}\n`);

/** The record with a signature. Rejects where the key cannot be used. */
export async function signed(record: ReportRecord, key: KeyFile, subtle: Subtle): Promise<ReportRecord> {
  const { key: algorithm, sign } = ALGORITHMS[key.kind];
  const own = await subtle.importKey('pkcs8', fromBase64(key.privateKey)!, algorithm, false, ['sign']);
  const value = base64(new Uint8Array(await subtle.sign(sign, own, signedBytes(record))));
  const out: ReportRecord = { ...record, signature: { kind: key.kind, publicKey: key.publicKey, value } };
  if ((await signatureState(out, subtle)) !== 'valid') throw new Error('the public key does not belong to the private');
  return out;
}

export type SignatureState = 'none' | 'valid' | 'invalid' | 'cannot-tell';

/** Whether a record's signature belongs to its data; `cannot-tell` where the host knows no such cryptography. */
export async function signatureState(record: ReportRecord, subtle: Subtle | null): Promise<SignatureState> {
  const { signature } = record;
  if (signature === null) return 'none';
  if (subtle === null) return 'cannot-tell';
  const { key: algorithm, sign } = ALGORITHMS[signature.kind];
  const [spki, value] = [fromBase64(signature.publicKey), fromBase64(signature.value)];
  if (spki === null || value === null) return 'invalid';
  try {
    const key = await subtle.importKey('spki', spki, algorithm, false, ['verify']);
    return (await subtle.verify(sign, key, value, signedBytes(record))) ? 'valid' : 'invalid';
  } catch (thrown) {
    return (thrown as { name?: string }).name === 'NotSupportedError' ? 'cannot-tell' : 'invalid';
  }
}

/** A key's short name, to compare by eye with one known from elsewhere: the start of its SHA-256. */
export const keyName = (publicKey: string): string =>
  sha256Hex(fromBase64(publicKey) ?? new Uint8Array(0))
    .slice(0, 32)
    .match(/.{4}/g)!
    .join(' ');
