import { hex } from './bytes.ts';

/** The first 32 bits of the fractional parts of the cube roots of the first 64 primes, and of the square roots of the first 8. */
const [K, START] = constants();

function constants(): readonly [Int32Array, Int32Array] {
  const primes: number[] = [];
  for (let n = 2; primes.length < 64; n++) if (primes.every((p) => n % p !== 0)) primes.push(n);
  const part = (x: number): number => Math.floor((x - Math.floor(x)) * 2 ** 32);
  return [
    Int32Array.from(primes, (p) => part(Math.cbrt(p)) | 0),
    Int32Array.from(primes.slice(0, 8), (p) => part(Math.sqrt(p)) | 0),
  ];
}

/**
 * SHA-256 (FIPS 180-4). Written out because a page that does not come over https has no digest of its own.
 *
 * @returns 32 bytes.
 */
export function sha256(bytes: Uint8Array): Uint8Array {
  const state = START.slice();
  const whole = bytes.length - (bytes.length % 64);
  const w = new Int32Array(64);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  for (let at = 0; at < whole; at += 64) mix(state, view, at, w);
  const rest = bytes.length - whole;
  const tail = new Uint8Array(rest < 56 ? 64 : 128);
  tail.set(bytes.subarray(whole));
  tail[rest] = 0x80;
  const end = new DataView(tail.buffer);
  end.setUint32(tail.length - 8, Math.floor(bytes.length / 2 ** 29));
  end.setUint32(tail.length - 4, (bytes.length << 3) >>> 0);
  for (let at = 0; at < tail.length; at += 64) mix(state, end, at, w);
  const out = new Uint8Array(32);
  state.forEach((v, i) => new DataView(out.buffer).setInt32(4 * i, v));
  return out;
}

export const sha256Hex = (bytes: Uint8Array): string => hex(sha256(bytes));

const turned = (x: number, n: number): number => (x >>> n) | (x << (32 - n));

function mix(state: Int32Array, view: DataView, at: number, w: Int32Array): void {
  for (let t = 0; t < 16; t++) w[t] = view.getInt32(at + 4 * t);
  for (let t = 16; t < 64; t++) {
    const [p, q] = [w[t - 15]!, w[t - 2]!];
    const s0 = turned(p, 7) ^ turned(p, 18) ^ (p >>> 3);
    const s1 = turned(q, 17) ^ turned(q, 19) ^ (q >>> 10);
    w[t] = (w[t - 16]! + s0 + w[t - 7]! + s1) | 0;
  }
  let a = state[0]!,
    b = state[1]!,
    c = state[2]!,
    d = state[3]!;
  let e = state[4]!,
    f = state[5]!,
    g = state[6]!,
    h = state[7]!;
  for (let t = 0; t < 64; t++) {
    const s1 = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
    const t1 = (h + s1 + ((e & f) ^ (~e & g)) + K[t]! + w[t]!) | 0;
    const s0 = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    h = g;
    g = f;
    f = e;
    e = (d + t1) | 0;
    d = c;
    c = b;
    b = a;
    a = (t1 + t2) | 0;
  }
  state[0] = state[0]! + a;
  state[1] = state[1]! + b;
  state[2] = state[2]! + c;
  state[3] = state[3]! + d;
  state[4] = state[4]! + e;
  state[5] = state[5]! + f;
  state[6] = state[6]! + g;
  state[7] = state[7]! + h;
}
