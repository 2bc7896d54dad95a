import * as room from './room';

/** Bits of a digit, and where the leading one stands: three of them tell two values apart, the last by what is left. */
const DIGIT: i32 = 11;
const LEADING: i32 = 20;

/**
 * The upper of the two middle values of a list without negative ones, single precision, whose bits rise as they do: digit after digit those that
 * have the middle one's are kept. The list is written over.
 */
export function upperMedian(list: usize, count: i32): f32 {
  let end = list + ((<usize>count) << 2);
  let rank = count >> 1;
  for (let shift = LEADING; shift > -DIGIT; shift -= DIGIT) {
    const low = max(0, shift);
    countDigits(list, end, low);
    let digit: u32 = 0;
    for (; rank >= countOf(digit); digit++) rank -= countOf(digit);
    end = keepDigit(list, end, low, digit);
  }
  return load<f32>(list);
}

function countDigits(list: usize, end: usize, shift: i32): void {
  memory.fill(room.COUNTS, 0, 4 << DIGIT);
  for (let o = list; o < end; o += 4) {
    const place = room.COUNTS + ((<usize>digitOf(o, shift)) << 2);
    store<i32>(place, load<i32>(place) + 1);
  }
}

/** Moves the values with this digit to the front; returns their end. */
function keepDigit(list: usize, end: usize, shift: i32, digit: u32): usize {
  let kept = list;
  for (let o = list; o < end; o += 4) {
    const has = digitOf(o, shift) == digit;
    store<u32>(kept, load<u32>(o));
    kept += (<usize>has) << 2;
  }
  return kept;
}

function digitOf(place: usize, shift: i32): u32 {
  return (load<u32>(place) >> shift) & ((1 << DIGIT) - 1);
}

function countOf(digit: u32): i32 {
  return load<i32>(room.COUNTS + ((<usize>digit) << 2));
}
