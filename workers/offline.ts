/**
 * Serves the page from its own store once it has been visited, so that it works without a network.
 *
 * Built by `config/offline-plugin.ts`, which puts the list of the page's files, and the policy, before it. A newer version is fetched
 * beside the one in use and waits until the page asks for it; what tabs of the version before may still want stays stored.
 */

/**
 * Path relative to this script, a digest of the content, and how it is kept: as it is, packed (gzip), or only once somebody has asked for it
 * (photos of the samples, which are larger than all else together).
 */
type ListedFile = readonly [path: string, digest: string, keep: 'whole' | 'packed' | 'offered'];

declare const FILES: readonly ListedFile[];
declare const VERSION: string;
/** Headers that say what the page and its workers may do; a plain host sends none. */
declare const POLICY: Readonly<Record<string, string>>;

/** As much of a service worker's global scope as is used (W3C Service Workers); the page's own types do not have it. */
interface OfflineScope {
  readonly registration: { readonly scope: string };
  readonly clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(
    type: 'install' | 'activate',
    listener: (event: { waitUntil(work: Promise<unknown>): void }) => void,
  ): void;
  addEventListener(
    type: 'message',
    listener: (event: {
      readonly data: unknown;
      readonly ports: readonly MessagePort[];
      waitUntil(work: Promise<unknown>): void;
    }) => void,
  ): void;
  addEventListener(
    type: 'fetch',
    listener: (event: { readonly request: Request; respondWith(answer: Promise<Response>): void }) => void,
  ): void;
}
declare const self: OfflineScope;
const scope = self;

/** Other copies of the page on this origin have scopes, and stores, of their own. */
const OURS = `evencast ${scope.registration.scope} `;
const CURRENT = `${OURS}${VERSION}`;
/** Paths of files as they are, whatever version they are of: their names hold a digest of their content. */
const UNCHANGING = /^assets\//;
const DIGEST = 'x-evencast-digest';
/** Says that a stored body is packed; never part of an answer. */
const PACKED = 'x-evencast-packed';
/**
 * A host may answer with `Vary: Origin` (Vite's own does): what was stored without that header is then not found for scripts and styles,
 * which are asked for with it. Each address has one file here, whoever asks.
 */
const WHOEVER_ASKS = { ignoreVary: true } as const;

const addressOf = (path: string): string => new URL(path, scope.registration.scope).href;

scope.addEventListener('install', (event) => event.waitUntil(fetchAll()));
scope.addEventListener('activate', (event) => event.waitUntil(takeOver()));
scope.addEventListener('message', (event) => {
  if (event.data === 'change-now') void scope.skipWaiting();
  if (event.data === 'mend') event.waitUntil(mended().then((count) => event.ports[0]?.postMessage(count)));
});
scope.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method === 'GET' && request.url.startsWith(scope.registration.scope)) event.respondWith(answer(request));
});

/**
 * Stores every file but those offered; what an earlier version stored already is not fetched again. Nothing is stored under a digest that
 * it has not: a file that arrives otherwise (cut short, of another version) is asked for once more past all caches, and then fails the whole.
 */
async function fetchAll(): Promise<void> {
  const cache = await caches.open(CURRENT);
  for (const [path, digest, keep] of FILES) {
    const url = addressOf(path);
    if ((await sound(unpacked(await cache.match(url, WHOEVER_ASKS)), digest)) !== undefined) continue;
    const before = await stored(url, digest);
    if (keep === 'offered') {
      if (before !== undefined) await cache.put(url, before);
      continue;
    }
    const response =
      before ??
      // Past the browser's own cache where a name says nothing about the content.
      (await sound(await fetched(url, UNCHANGING.test(path) ? 'default' : 'reload'), digest)) ??
      (await sound(await fetched(url, 'reload'), digest));
    if (response === undefined) throw new Error(`${url} did not arrive whole`);
    await cache.put(url, keep === 'packed' ? packed(response) : response);
  }
}

/**
 * Looks at all that is stored once more, since something of it did not serve: what has another content than it should is thrown out, so that
 * it comes from the network, and is stored again if it arrives whole. @returns How many files that were.
 */
async function mended(): Promise<number> {
  const cache = await caches.open(CURRENT);
  let count = 0;
  for (const [path, digest] of FILES) {
    const url = addressOf(path);
    const found = await cache.match(url, WHOEVER_ASKS);
    if (found === undefined || (await sound(unpacked(found), digest)) !== undefined) continue;
    await cache.delete(url, WHOEVER_ASKS);
    count++;
  }
  if (count > 0) await fetchAll().catch(() => undefined);
  return count;
}

/** The response with its body packed, where the browser can (Compression Streams). */
function packed(response: Response): Response {
  if (response.body === null || typeof CompressionStream === 'undefined') return response;
  const headers = new Headers(response.headers);
  headers.set(PACKED, 'gzip');
  return new Response(response.body.pipeThrough(new CompressionStream('gzip')), { headers });
}

/** The response as it was before it was packed. */
function unpacked(response: Response | undefined): Response | undefined {
  if (!response?.body || !response.headers.has(PACKED)) return response;
  const headers = new Headers(response.headers);
  headers.delete(PACKED);
  return new Response(response.body.pipeThrough(new DecompressionStream('gzip')), { headers });
}

const fetched = (url: string, cache: RequestCache): Promise<Response | undefined> =>
  fetch(url, { cache }).then(
    (response) => (response.ok ? response : undefined),
    () => undefined,
  );

/** The response, labelled, if its content has the digest: the first 16 hexadecimal digits of its SHA-256 (FIPS 180-4). */
async function sound(response: Response | undefined, digest: string): Promise<Response | undefined> {
  if (response === undefined) return undefined;
  // A packed body that is cut cannot be read to its end.
  const content = await response.blob().catch(() => null);
  if (content === null) return undefined;
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', await content.arrayBuffer()));
  const seen = Array.from(hash.subarray(0, 8), (byte) => byte.toString(16).padStart(2, '0')).join('');
  return seen === digest ? labelled(response, content, digest) : undefined;
}

async function stored(url: string, digest: string): Promise<Response | undefined> {
  for (const name of await ours()) {
    const found = unpacked(await (await caches.open(name)).match(url, WHOEVER_ASKS));
    const same = found?.headers.get(DIGEST) === digest ? await sound(found, digest) : undefined;
    if (same !== undefined) return same;
  }
  return undefined;
}

/** The same response, with the digest of what it is and what it may do; a redirected one could not answer a navigation. */
function labelled(response: Response, content: Blob, digest: string): Response {
  const headers = new Headers(response.headers);
  headers.set(DIGEST, digest);
  for (const [name, value] of Object.entries(POLICY)) headers.set(name, value);
  return new Response(content, { status: 200, headers });
}

const ours = async (): Promise<string[]> => (await caches.keys()).filter((name) => name.startsWith(OURS));

/** Keeps this version and the one before, for tabs that still show that one. */
async function takeOver(): Promise<void> {
  const others = (await ours()).filter((name) => name !== CURRENT);
  await Promise.all(others.slice(0, -1).map((name) => caches.delete(name)));
  await scope.clients.claim();
}

async function answer(request: Request): Promise<Response> {
  const cache = await caches.open(CURRENT);
  if (request.mode === 'navigate') {
    const { pathname } = new URL(request.url);
    const page = pathname === new URL(scope.registration.scope).pathname || pathname.endsWith('/index.html');
    const found = page ? await cache.match(addressOf('index.html'), WHOEVER_ASKS) : undefined;
    if (found !== undefined) return found;
  }
  const found = unpacked((await cache.match(request, WHOEVER_ASKS)) ?? (await fromBefore(request)));
  return found ?? fetchedAndKept(request, cache);
}

/** From the network; an offered file is kept from then on, if it is what was offered. */
async function fetchedAndKept(request: Request, cache: Cache): Promise<Response> {
  const response = await fetch(request);
  const offer = FILES.find(([path, , keep]) => keep === 'offered' && addressOf(path) === request.url);
  if (offer === undefined || !response.ok) return response;
  const whole = await sound(response.clone(), offer[1]);
  // No room for it: it is shown all the same.
  if (whole !== undefined) await cache.put(request.url, whole).catch(() => undefined);
  return response;
}

async function fromBefore(request: Request): Promise<Response | undefined> {
  for (const name of await ours()) {
    const found = await (await caches.open(name)).match(request, WHOEVER_ASKS);
    if (found !== undefined) return found;
  }
  return undefined;
}

export {};
