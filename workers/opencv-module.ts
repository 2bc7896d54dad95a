import wasmUrl from 'opencv-wasm/opencv.wasm?url';

/** Fetches OpenCV and compiles it as it comes, on threads of the browser's. @throws {Error} If the file does not arrive. */
export async function compileCv(): Promise<WebAssembly.Module> {
  const response = await fetch(wasmUrl);
  if (!response.ok) throw new Error(`OpenCV: ${response.status} ${response.statusText} for ${wasmUrl}`);
  // Not every host names the type, and without it a browser refuses to compile what still comes.
  if (response.headers.get('Content-Type') === 'application/wasm') return WebAssembly.compileStreaming(response);
  return WebAssembly.compile(await response.arrayBuffer());
}
