import type { DieKind } from '../../geometry/solid.ts';
import type { KnownSample } from './known-sample.ts';

const PHOTOS = import.meta.glob<string>('../../../samples/*/*.jpg', { query: '?url', import: 'default', eager: true });
const JOBS = import.meta.glob<unknown>('../../../samples/*/job.json', { import: 'default', eager: true });
const KNOWN = import.meta.glob<KnownSample>('../../../samples/*/known.json', { import: 'default' });

/** The sets of photos that come with the page. */
export const SAMPLES = ['d6', 'd20'] as const satisfies readonly DieKind[];
export type Sample = (typeof SAMPLES)[number];

const addresses = (sample: Sample): readonly (readonly [string, string])[] =>
  Object.entries(PHOTOS)
    .filter(([path]) => path.includes(`/samples/${sample}/`))
    .map(([path, url]) => [path.slice(path.lastIndexOf('/') + 1), url] as const)
    .sort(([a], [b]) => (a < b ? -1 : 1));

export const samplePhotoCount = (sample: Sample): number => addresses(sample).length;

/** What `job.json` of the sample says. */
export const sampleJob = (sample: Sample): unknown => ownOf(JOBS, sample);

/** What is known of the sample, from where the page is made; undefined where nothing is kept. */
export const knownSample = (sample: Sample): Promise<KnownSample> | undefined => ownOf(KNOWN, sample)?.();

/** A sample's own one of files of one kind. */
const ownOf = <T>(files: Readonly<Record<string, T>>, sample: Sample): T | undefined =>
  Object.entries(files).find(([path]) => path.includes(`/samples/${sample}/`))?.[1];

/** Fetches the photos of a sample from the page's own host. @throws {TypeError} Without a network before the first visit. */
export function samplePhotos(sample: Sample, priority: RequestPriority = 'auto'): Promise<File[]> {
  return Promise.all(
    addresses(sample).map(async ([name, url]) => {
      const response = await fetch(url, { priority });
      if (!response.ok) throw new TypeError(`${name}: ${response.status}`);
      return new File([await response.blob()], name, { type: 'image/jpeg' });
    }),
  );
}

/** Whether the photos of all samples are stored on the device. @returns false also where the browser stores nothing. */
export async function samplesKept(): Promise<boolean> {
  if (!('caches' in globalThis)) return false;
  try {
    const urls = SAMPLES.flatMap(addresses).map(([, url]) => url);
    const found = await Promise.all(urls.map((url) => caches.match(url, { ignoreVary: true })));
    return found.every((response) => response !== undefined);
  } catch {
    return false;
  }
}
