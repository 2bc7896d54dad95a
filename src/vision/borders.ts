/** Steps to the eight neighbours, from the right on counter-clockwise as drawn (y down); twice, so that none has to be taken round. */
const DX = [1, 1, 0, -1, -1, -1, 0, 1, 1, 1, 0, -1, -1, -1, 0, 1] as const;
const DY = [0, -1, -1, -1, 0, 1, 1, 1, 0, -1, -1, -1, 0, 1, 1, 1] as const;

/** What a followed border leaves in the picture: its pixels, and those with nothing right of them. */
const FOLLOWED = 2;
const RIGHTMOST = -126;

/** Room for one border's points, kept from call to call. */
let points = new Int32Array(2 * 4096);

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
  #at: number;
  #before = 0;

  /**
   * @param picture  Begins at a multiple of four bytes in its buffer.
   * @param across   Length of a row, the frame included.
   */
  constructor(picture: Int8Array, across: number) {
    this.#picture = picture;
    this.#fours = new Int32Array(picture.buffer, picture.byteOffset, picture.length >> 2);
    this.#across = across;
    this.#at = across;
  }

  /** Points of the last border, [x, y] each, the first pixel inside the frame being (0, 0); the next takes their place. */
  get points(): Int32Array {
    return points;
  }

  /** Follows the next border; returns how many points it has, 0 where there is none. */
  next(): number {
    const [picture, fours, across] = [this.#picture, this.#fours, this.#across];
    let before = this.#before;
    let alike = fourOf(before);
    // From a row's last pixel to the next one's first goes nothing: both lie on the frame.
    for (let k = this.#at; k < picture.length; k++) {
      if ((k & 3) === 0) {
        let four = k >> 2;
        while (four < fours.length && fours[four] === alike) four++;
        k = 4 * four;
        if (k >= picture.length) break;
      }
      const here = picture[k]!;
      if (here === before) continue;
      const isHole = here === 0 && before >= 1;
      if (isHole || (before === 0 && here === 1)) {
        const count = follow(picture, across, isHole ? k - 1 : k, isHole);
        this.#at = k + 1;
        this.#before = picture[k]!;
        return count;
      }
      before = here;
      alike = fourOf(here);
    }
    this.#at = picture.length;
    return 0;
  }
}

/** Four pixels of a value. */
const fourOf = (value: number): number => Math.imul(value & 255, 0x01010101);

/** Follows one border from its first pixel; returns how many points it has. */
function follow(picture: Int8Array, across: number, first: number, isHole: boolean): number {
  let x = (first % across) - 1;
  let y = Math.floor(first / across) - 1;
  let way = isHole ? 0 : 4;
  const from = way;
  let last: number;
  do {
    way = (way - 1) & 7;
    last = first + DX[way]! + DY[way]! * across;
  } while (picture[last] === 0 && way !== from);
  points[0] = x;
  points[1] = y;
  if (way === from) {
    picture[first] = RIGHTMOST;
    return 1;
  }
  let count = 0;
  for (let here = first; ;) {
    const came = way;
    let next: number;
    do {
      way++;
      next = here + DX[way]! + DY[way]! * across;
    } while (picture[next] === 0 && way < 15);
    way &= 7;
    // Between the way it came and the way it goes lies what is right of it: nothing.
    if (way > 0 && way <= came) picture[here] = RIGHTMOST;
    else if (picture[here] === 1) picture[here] = FOLLOWED;
    if (2 * count + 2 > points.length) points = doubled(points);
    points[2 * count] = x;
    points[2 * count++ + 1] = y;
    x += DX[way]!;
    y += DY[way]!;
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
