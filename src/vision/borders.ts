/** Steps to the eight neighbours, from the right on counter-clockwise as drawn (y down); twice, so that none has to be taken round. */
const DX = [1, 1, 0, -1, -1, -1, 0, 1, 1, 1, 0, -1, -1, -1, 0, 1] as const;
const DY = [0, -1, -1, -1, 0, 1, 1, 1, 0, -1, -1, -1, 0, 1, 1, 1] as const;

/** What a followed border leaves in the picture: its pixels, and those with nothing right of them. */
const FOLLOWED = 2;
const RIGHTMOST = -126;

/** Room for the places of one border's pixels, and for them as points, kept from call to call. */
let places = new Int32Array(4096);
let points = new Int32Array(0);

/**
 * All borders of what is 1 in a picture with a frame of 0: outer ones counter-clockwise as drawn, those of holes the other way, in the order of their
 * first pixels. The picture is marked.
 *
 * Source: Suzuki and Abe 1985, algorithm 1 without the borders' tree, as OpenCV's `findContours` has it.
 */
export class Borders {
  readonly #picture: Int8Array;
  /** The same, four pixels at once. */
  readonly #fours: Int32Array;
  readonly #across: number;
  /** From a pixel to its neighbours. */
  readonly #offsets: Int32Array;
  #at: number;
  #count = 0;

  /**
   * @param picture  Begins at a multiple of four bytes in its buffer.
   * @param across   Length of a row, the frame included.
   */
  constructor(picture: Int8Array, across: number) {
    this.#picture = picture;
    this.#fours = new Int32Array(picture.buffer, picture.byteOffset, picture.length >> 2);
    this.#across = across;
    this.#offsets = Int32Array.from(DX, (dx, way) => dx + DY[way]! * across);
    this.#at = across;
  }

  /** Points of the last border, [x, y] each, the first pixel inside the frame being (0, 0); the next takes their place. */
  get points(): Int32Array {
    if (points.length < 2 * this.#count) points = new Int32Array(2 * places.length);
    const across = this.#across;
    for (let n = 0; n < this.#count; n++) {
      const row = Math.floor(places[n]! / across);
      points[2 * n] = places[n]! - row * across - 1;
      points[2 * n + 1] = row - 1;
    }
    return points;
  }

  /** Follows the next border; returns how many points it has, 0 where there is none. */
  next(): number {
    const picture = this.#picture;
    const fours = this.#fours;
    let seen = this.#at & 3;
    for (let n = this.#at >> 2; n < fours.length; n++, seen = 0) {
      const here = fours[n]!;
      // From a row's last pixel to the next one's first goes nothing: both lie on the frame. So too from the last row, of which less than four pixels may be left.
      const last = n > 0 ? fours[n - 1]! >>> 24 : 0;
      if (here === 0 && last === 0) continue;
      const starts = startsIn(here, (here << 8) | last) & (-1 << (8 * seen));
      if (starts === 0) continue;
      const k = 4 * n + ((31 - Math.clz32(starts & -starts)) >> 3);
      const isHole = picture[k] === 0;
      this.#count = follow(picture, this.#offsets, isHole ? k - 1 : k, isHole);
      this.#at = k + 1;
      return this.#count;
    }
    this.#at = picture.length;
    return 0;
  }
}

/**
 * Which of four pixels begin a border: the lowest bit of each. One that is 1 with nothing before it begins an outer one, nothing behind what is no right end of a
 * border a hole's. Only {@link RIGHTMOST} has the highest bit, only 1 the lowest.
 */
function startsIn(here: number, before: number): number {
  const some = here | (here >>> 1);
  const someBefore = before | (before >>> 1);
  return ((here & ~someBefore) | (~some & someBefore & ~(before >>> 7))) & 0x01010101;
}

/** Follows one border from its first pixel; returns how many it has. */
function follow(picture: Int8Array, offsets: Int32Array, first: number, isHole: boolean): number {
  let way = isHole ? 0 : 4;
  const from = way;
  let last: number;
  do {
    way = (way - 1) & 7;
    last = first + offsets[way]!;
  } while (picture[last] === 0 && way !== from);
  let list = places;
  if (way === from) {
    list[0] = first;
    picture[first] = RIGHTMOST;
    return 1;
  }
  let count = 0;
  for (let here = first; ;) {
    const came = way;
    let next: number;
    do {
      way++;
      next = here + offsets[way]!;
    } while (picture[next] === 0 && way < 15);
    way &= 7;
    // Between the way it came and the way it goes lies what is right of it: nothing.
    if (way > 0 && way <= came) picture[here] = RIGHTMOST;
    else if (picture[here] === 1) picture[here] = FOLLOWED;
    if (count === list.length) list = places = doubled(list);
    list[count++] = here;
    if (next === first && here === last) return count;
    here = next;
    way = (way + 4) & 7;
  }
}

function doubled(list: Int32Array): Int32Array<ArrayBuffer> {
  const out = new Int32Array(2 * list.length);
  out.set(list);
  return out;
}
