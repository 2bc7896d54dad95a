/** Calls of the browser that are made to fail, to hang or to lie. Each runs in the page before anything of it does. */

export interface PageFault {
  /** What is made of which call. */
  readonly name: string;
  /** Script of the page. */
  readonly script: string;
  /** Whether nothing can be kept: then the page says so, and calls nothing kept. */
  readonly keepsNothing?: RegExp;
}

const throws = (where: string, name: string): string =>
  `${where} = () => { throw new DOMException('made to fail', '${name}'); };`;
const gone = (holder: string, name: string): string =>
  `Object.defineProperty(${holder}, '${name}', { value: undefined, configurable: true });`;
/** The table of calls: storage, workers, canvas, decoders, and what a browser may lack. */
export const PAGE_FAULTS: readonly PageFault[] = [
  { name: 'storage: there is none', script: gone('globalThis', 'indexedDB'), keepsNothing: /allows no storage/ },
  {
    name: 'storage: open is forbidden',
    script: throws('IDBFactory.prototype.open', 'SecurityError'),
    keepsNothing: /allows no storage/,
  },
  {
    name: 'storage: a newer page wrote it',
    script: throws('IDBFactory.prototype.open', 'VersionError'),
    keepsNothing: /newer version/,
  },
  {
    name: 'storage: open fails',
    script: throws('IDBFactory.prototype.open', 'UnknownError'),
    keepsNothing: /does not work/,
  },
  {
    name: 'storage: open hangs',
    script: `const open = IDBFactory.prototype.open; IDBFactory.prototype.open = function () { const r = open.call(this, 'elsewhere'); r.addEventListener = () => undefined; return r; };`,
    keepsNothing: /has not answered/,
  },
  {
    name: 'storage: nothing kept can be read',
    script: throws('IDBObjectStore.prototype.getAll', 'UnknownError'),
    keepsNothing: /does not work/,
  },
  {
    name: 'storage: the rooms cannot read what they kept',
    script: throws('IDBIndex.prototype.getAll', 'UnknownError'),
  },
  {
    name: 'storage: put fails',
    script: throws('IDBObjectStore.prototype.put', 'UnknownError'),
    keepsNothing: /does not work/,
  },
  {
    name: 'storage: put finds no room',
    script: throws('IDBObjectStore.prototype.put', 'QuotaExceededError'),
    keepsNothing: /is full/,
  },
  {
    name: 'storage: no transaction begins',
    script: throws('IDBDatabase.prototype.transaction', 'InvalidStateError'),
    keepsNothing: /does not work|allows no storage/,
  },
  {
    name: 'storage: a write never ends',
    script: `const put = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = function (...a) { const r = put.apply(this, a); const go = () => { try { this.get('x').onsuccess = go; } catch {} }; go(); return r; };`,
    keepsNothing: /has not answered/,
  },
  {
    name: 'storage: what is read is none of ours',
    script: `const getAll = IDBObjectStore.prototype.getAll; IDBObjectStore.prototype.getAll = function (...a) { const r = getAll.apply(this, a); Object.defineProperty(r, 'result', { get: () => [null, 1, {}, { id: 7 }, { version: 99 }, []] }); return r; };`,
  },
  {
    name: 'storage: what rooms kept is none of ours',
    script: `const getAll = IDBIndex.prototype.getAll; IDBIndex.prototype.getAll = function (...a) { const r = getAll.apply(this, a); Object.defineProperty(r, 'result', { get: () => [null, 'x', { version: 2, id: 'abcdefgh', revision: 1, room: 'lots', changed: 1, data: { lot: null } }] }); return r; };`,
  },
  {
    name: 'storage: the session keeps nothing',
    script: `Object.defineProperty(globalThis, 'sessionStorage', { get() { throw new DOMException('made to fail', 'SecurityError'); } }); Object.defineProperty(globalThis, 'localStorage', { get() { throw new DOMException('made to fail', 'SecurityError'); } });`,
  },
  {
    name: 'storage: nothing is known of its size',
    script: `navigator.storage.estimate = () => Promise.reject(new Error('made to fail')); navigator.storage.persisted = () => Promise.reject(new Error('made to fail')); navigator.storage.persist = () => Promise.reject(new Error('made to fail'));`,
  },
  { name: 'workers: there are none', script: gone('globalThis', 'Worker') },
  {
    name: 'workers: they are forbidden',
    script: `globalThis.Worker = class { constructor() { throw new DOMException('made to fail', 'SecurityError'); } };`,
  },
  {
    name: 'workers: each ends at once',
    script: `globalThis.Worker = class extends EventTarget { constructor() { super(); setTimeout(() => this.dispatchEvent(new ErrorEvent('error', { message: 'Cannot read properties of undefined', cancelable: true })), 5); } postMessage() {} terminate() {} };`,
  },
  {
    name: 'workers: what they say is none of ours',
    script: `globalThis.Worker = class extends EventTarget { constructor() { super(); } postMessage(m) { setTimeout(() => this.dispatchEvent(new MessageEvent('message', { data: { id: m?.id, type: 'RAW', value: 99 } })), 5); } terminate() {} start() {} };`,
  },
  {
    name: 'workers: none answers',
    script: `globalThis.Worker = class extends EventTarget { postMessage() {} terminate() {} };`,
  },
  {
    name: 'files: none can be read',
    script: `for (const call of ['arrayBuffer', 'text']) Blob.prototype[call] = () => Promise.reject(new DOMException('made to fail', 'NotReadableError')); Blob.prototype.stream = () => { throw new DOMException('made to fail', 'NotReadableError'); };`,
  },
  {
    name: 'canvas: no picture can be written',
    script: `OffscreenCanvas.prototype.convertToBlob = () => Promise.reject(new DOMException('made to fail', 'EncodingError')); HTMLCanvasElement.prototype.toBlob = function (done) { setTimeout(() => done(null)); };`,
  },
  { name: 'canvas: none apart from the page', script: gone('globalThis', 'OffscreenCanvas') },
  {
    name: 'canvas: no context',
    script: `HTMLCanvasElement.prototype.getContext = () => null; OffscreenCanvas.prototype.getContext = () => null;`,
  },
  {
    name: 'canvas: getContext fails',
    script: `HTMLCanvasElement.prototype.getContext = () => { throw new Error('made to fail'); };`,
  },
  {
    name: 'decoders: createImageBitmap fails',
    script: `globalThis.createImageBitmap = () => Promise.reject(new DOMException('made to fail', 'InvalidStateError'));`,
  },
  {
    name: 'tabs: no channel and no locks',
    script: `${gone('globalThis', 'BroadcastChannel')} ${gone('Navigator.prototype', 'locks')}`,
  },
  {
    name: 'tabs: locks fail',
    script: `navigator.locks.request = () => Promise.reject(new DOMException('made to fail', 'SecurityError'));`,
  },
  { name: 'no cryptography', script: gone('Crypto.prototype', 'subtle') },
  { name: 'no camera', script: gone('Navigator.prototype', 'mediaDevices') },
  { name: 'no cores told', script: gone('Navigator.prototype', 'hardwareConcurrency') },
  { name: 'object addresses fail', script: `URL.createObjectURL = () => { throw new Error('made to fail'); };` },
];
