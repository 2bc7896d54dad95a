import type { Picture } from '../vision/picture.ts';

/** How the end of a cut JPEG looks: rows at the bottom that it fills, at least, and display values of its grey, which no photo keeps to. */
export const FILL = { rows: 8, darkest: 124, lightest: 132 } as const;

/**
 * Whether a decoded JPEG ends in what decoders put where coded data are missing.
 *
 * A file that was cut and still has an end marker decodes without a word: blocks whose coefficients never came are all zero, which is one
 * middle grey (ITU-T T.81, A.3.1: values are shifted by 128 before the transform). Upright pictures may have it at any side, so all four
 * are looked at; a camera's own noise keeps any real stretch of this size from being one value.
 */
export function endsInFill(picture: Picture): boolean {
  const { width, height, channels, data } = picture;
  const isFill = (x: number, y: number): boolean => {
    const k = (y * width + x) * channels;
    const [r, g, b] = [data[k]!, data[k + 1]!, data[k + 2]!];
    return r === g && g === b && r >= FILL.darkest && r <= FILL.lightest && r === data[from]!;
  };
  let from = 0;
  /** Whether the stretch beside one side is of one grey: `along` pixels long, `FILL.rows` deep. */
  const filled = (along: number, place: (i: number, depth: number) => readonly [number, number]): boolean => {
    const [x0, y0] = place(0, 0);
    from = (y0 * width + x0) * channels;
    for (let depth = 0; depth < FILL.rows; depth++)
      for (let i = 0; i < along; i++) if (!isFill(...place(i, depth))) return false;
    return true;
  };
  return (
    filled(width, (i, d) => [i, height - 1 - d]) ||
    filled(width, (i, d) => [i, d]) ||
    filled(height, (i, d) => [d, i]) ||
    filled(height, (i, d) => [width - 1 - d, i])
  );
}
