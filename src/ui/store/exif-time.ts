/** Longest wait for one photo's EXIF, ms: a card reader may be slow, and the order matters little. */
const PATIENCE = 3000;

/** When a photo was taken by its camera's clock, ms; null where its EXIF does not say, or is no EXIF. */
async function timeTaken(file: File): Promise<number | null> {
  try {
    const { default: exifr } = await import('exifr/dist/lite.esm.mjs');
    // Its short way of naming tags fails in this small build, which knows no interoperability tags.
    const tags = (await exifr.parse(file, { exif: true, gps: false })) as Record<string, unknown> | undefined;
    const [taken, part] = [tags?.['DateTimeOriginal'], tags?.['SubSecTimeOriginal']];
    if (!(taken instanceof Date) || Number.isNaN(taken.getTime())) return null;
    const fraction = Number(`0.${String(part ?? '').replace(/\D/g, '')}`);
    return taken.getTime() + (Number.isFinite(fraction) ? 1000 * fraction : 0);
  } catch {
    return null;
  }
}

/** The same for many; what takes too long is left unsaid. */
export function timesTaken(files: readonly File[]): Promise<(number | null)[]> {
  const late = new Promise<null>((resolve) => setTimeout(() => resolve(null), PATIENCE));
  return Promise.all(files.map((file) => Promise.race([timeTaken(file), late])));
}
