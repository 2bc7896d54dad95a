import { edgeMemory, growEdgeMemory } from './edge-memory.ts';

/** What the band round an outline is claimed from and put into, in the module's memory; see `assembly/edges/room.ts`. */
export interface EdgeRoom {
  readonly xy: Float64Array;
  readonly normal: Float64Array;
  readonly curvature: Float64Array;
  readonly of: Int32Array;
  readonly start: Int32Array;
  readonly s: Float32Array;
  readonly y: Float32Array;
  readonly shown: Int32Array;
}

/** How much there is room for; pixels are those of the band, cells those of the crop. */
interface Size {
  readonly samples: number;
  readonly segments: number;
  readonly pixels: number;
  readonly cells: number;
}

/** Bytes of a cell of the crop. */
const CELL = 4;

let room: EdgeRoom | undefined;
let size: Size = { samples: 0, segments: 0, pixels: 0, cells: 0 };

/** Room for one outline, kept from call to call; where it has to be made larger, nothing that was looked up of the memory before holds. */
export function edgeRoom({ samples, segments, pixels, cells }: Size): EdgeRoom {
  if (room && samples <= size.samples && segments <= size.segments && pixels <= size.pixels && cells <= size.cells)
    return room;
  size = {
    samples: Math.max(samples, size.samples),
    segments: Math.max(segments, size.segments),
    pixels: Math.max(pixels, size.pixels),
    cells: Math.max(cells, size.cells),
  };
  return (room = newRoom(size));
}

function newRoom({ samples, segments, pixels, cells }: Size): EdgeRoom {
  const { run } = edgeMemory();
  const first = run.lay(samples, segments, pixels);
  // One cell stands for all that lies out of the crop.
  const bytes = CELL * (cells + 1);
  growEdgeMemory(first + bytes);
  const { buffer } = run.memory;
  // Where the lists lay before, cells may lie now: they begin unclaimed.
  new Uint8Array(buffer, first, bytes).fill(0);
  return {
    xy: new Float64Array(buffer, run.XY.value, 2 * samples),
    normal: new Float64Array(buffer, run.NORMAL.value, 2 * samples),
    curvature: new Float64Array(buffer, run.CURVATURE.value, samples),
    of: new Int32Array(buffer, run.OF.value, samples),
    start: new Int32Array(buffer, run.START.value, segments + 1),
    s: new Float32Array(buffer, run.S.value, pixels),
    y: new Float32Array(buffer, run.Y.value, pixels),
    shown: new Int32Array(buffer, run.SHOWN.value, pixels),
  };
}
