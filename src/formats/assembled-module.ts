import { fromBase64 } from './base64.ts';

/** A memory as its module exports it; it grows by pages of 64 KB. */
export interface ModuleMemory {
  readonly buffer: ArrayBuffer;
  grow(pages: number): number;
}

/** What of its host this layer asks for; every one that runs the rest has it. */
declare const WebAssembly: {
  readonly Module: new (bytes: Uint8Array) => object;
  readonly Instance: new (module: object) => { readonly exports: unknown };
};

/** A module of `assembly`, as its text has it, compiled. */
export const compiledModule = (text: string): object => new WebAssembly.Module(fromBase64(text)!);

/** What an instance of it exports; the caller knows its names. */
export const instanceOf = <Exports>(module: object): Exports => new WebAssembly.Instance(module).exports as Exports;

const PAGE = 65536;

/** Makes a memory so large at least, bytes; true where it had to grow: views looked up before are empty then. */
export function growTo(memory: ModuleMemory, bytes: number): boolean {
  const missing = Math.ceil((bytes - memory.buffer.byteLength) / PAGE);
  if (missing <= 0) return false;
  memory.grow(missing);
  return true;
}
