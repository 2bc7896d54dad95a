import type { Picture } from '../vision/picture.ts';

export function clearAway(): void;
export function decoded(
  bytes: Uint8Array,
  most: number,
): Promise<Picture & { readonly channels: 3; readonly data: Buffer }>;
