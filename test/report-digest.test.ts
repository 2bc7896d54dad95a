import { createHash, randomBytes, webcrypto } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fromUtf8, hex, utf8 } from '../src/report/record/bytes.ts';
import { base64, fromBase64 } from '../src/formats/base64.ts';
import { canonicalJson } from '../src/report/record/canonical-json.ts';
import { reportNumber, reportRecord } from '../src/report/record/record.ts';
import { sha256Hex } from '../src/report/record/sha256.ts';
import { newKey, readKeyFile, signatureState, signed, type Subtle } from '../src/report/record/signing.ts';
import { madeResult } from './support/made-result.ts';
import { bareInput } from './support/bare-input.ts';

const subtle = webcrypto.subtle as Subtle;

describe('SHA-256', () => {
  // NIST, FIPS 180 examples ("abc" and the two-block message) and the empty message.
  test.each([
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
    [
      'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    ],
  ])('%j', (message, digest) => {
    expect(sha256Hex(utf8(message))).toBe(digest);
  });

  test('agrees with OpenSSL at every length around a block, and for a view into a larger buffer', () => {
    const all = new Uint8Array(randomBytes(400));
    for (let n = 0; n < 200; n++) {
      const part = all.subarray(7, 7 + n);
      expect(sha256Hex(part)).toBe(createHash('sha256').update(part).digest('hex'));
    }
  });
});

describe('text and bytes', () => {
  test('UTF-8 and base64 agree with Node', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme', maxLength: 40 }), fc.uint8Array({ maxLength: 40 }), (text, bytes) => {
        expect(hex(utf8(text))).toBe(Buffer.from(text, 'utf8').toString('hex'));
        expect(fromUtf8(utf8(text))).toBe(text);
        expect(base64(bytes)).toBe(Buffer.from(bytes).toString('base64'));
        expect(fromBase64(base64(bytes))).toEqual(bytes);
      }),
    );
  });

  test('half a pair becomes U+FFFD; bytes that are no UTF-8 are refused', () => {
    expect(hex(utf8('\ud83c'))).toBe('efbfbd');
    for (const bytes of [
      [0x80],
      [0xc0, 0x80],
      [0xe2, 0x82],
      [0xed, 0xa0, 0x80],
      [0xf5, 0x80, 0x80, 0x80],
      [0xe0, 0x80, 0x80],
    ])
      expect(fromUtf8(Uint8Array.from(bytes))).toBeNull();
    expect(fromBase64('AB*=')).toBeNull();
  });

  test('canonical JSON: the example of RFC 8785, 3.2.2 and 3.2.3', () => {
    const given = JSON.parse(
      '{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],"string":"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/","literals":[null,true,false]}',
    ) as unknown;
    expect(canonicalJson(given)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
    expect(canonicalJson({ b: 1, a: undefined, c: [undefined] })).toBe('{"b":1,"c":[null]}');
    expect(() => canonicalJson({ a: NaN })).toThrow(RangeError);
  });
});

describe('number and signature', () => {
  const record = reportRecord({ ...bareInput(madeResult('d6')), version: '1' });

  test('the number follows from the digest, and other digests have others', () => {
    expect(record.number).toMatch(/^EV(-[0-9A-HJKMNP-TV-Z]{4}){4}$/);
    expect(record.number).toBe(reportNumber(record.digest.data));
    const many = Array.from({ length: 2000 }, (_, i) => reportNumber(String(i)));
    expect(new Set(many).size).toBe(many.length);
  });

  test.each(['ECDSA-P256', 'Ed25519'] as const)('%s: valid for these data, not for others', async (kind) => {
    const key = await newKey(subtle, kind);
    expect(readKeyFile(JSON.parse(JSON.stringify(key)))).toEqual(key);
    const own = await signed(record, key, subtle);
    expect(await signatureState(own, subtle)).toBe('valid');
    const other = {
      ...own,
      digest: { ...own.digest, data: own.digest.data.replace(/^./, (c) => (c === '0' ? '1' : '0')) },
    };
    expect(await signatureState(other, subtle)).toBe('invalid');
    const stranger = { ...own, signature: { ...own.signature!, publicKey: (await newKey(subtle, kind)).publicKey } };
    expect(await signatureState(stranger, subtle)).toBe('invalid');
    expect(await signatureState(record, subtle)).toBe('none');
    expect(await signatureState(own, null)).toBe('cannot-tell');
  });

  test('a key that does not fit its public half is refused', async () => {
    const [a, b] = [await newKey(subtle), await newKey(subtle)];
    await expect(signed(record, { ...a, publicKey: b.publicKey }, subtle)).rejects.toThrow('public key');
  });
});
