/** Random numbers of one throw: as `ThrowRandom` makes them, bit for bit. Source: the sfc32 generator (C. Doty-Humphrey, PractRand, public domain). */
let a: u32 = 0;
let b: u32 = 0;
let c: u32 = 0;
let d: u32 = 0;

/** Starts throw `index` of the run with this seed. */
export function start(seed: u32, index: u32): void {
  let h = seed ^ ((index ^ (index >>> 16)) * 0x45d9f3b);
  h = (h ^ (h >>> 15)) * 0x2c1b3c6d;
  a = h ^ (h >>> 12);
  b = index;
  c = seed;
  d = 1;
  for (let i = 0; i < 12; i++) bits();
}

function bits(): u32 {
  const t = a + b + d;
  d++;
  a = b ^ (b >>> 9);
  b = c + (c << 3);
  c = rotl<u32>(c, 21) + t;
  return t;
}

/** Evenly between 0 and 1, ends excluded. */
export function uniform(): f64 {
  return (<f64>bits() + 0.5) / 4294967296;
}

/** Evenly between -1 and 1. */
export function signed(): f64 {
  return (<f64>(<i32>bits()) + 0.5) / 2147483648;
}

/** Close to a standard normal deviate, never beyond 6: the sum of twelve even ones. */
export function bell(): f64 {
  let s: u32 = 0;
  for (let i = 0; i < 6; i++) {
    const t = bits();
    s += (t & 0xffff) + (t >>> 16);
  }
  return <f64>(s + 6) / 65536 - 6;
}
