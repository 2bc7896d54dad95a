import { createServer } from 'node:http';
import { readFile, stat } from 'node:fs/promises';
import { extname, join, normalize } from 'node:path';
import type { AddressInfo } from 'node:net';

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.jpg': 'image/jpeg',
  '.json': 'application/json',
  '.wasm': 'application/wasm',
  '.webmanifest': 'application/manifest+json',
  '.txt': 'text/plain; charset=utf-8',
};

/** The plainest of static hosts: files below a folder under a path, and not a header of its own. */
export interface StaticHost {
  readonly url: string;
  /** Paths asked for so far. */
  readonly asked: string[];
  /** From now on files come from here. */
  folder: string;
  /** What is sent in place of a file; null: the file. */
  spoil: ((path: string, content: Buffer) => Buffer) | null;
  /** From now on every connection is refused. */
  close(): Promise<void>;
}

/** @param under  Path of the page, such as "/tools/dice/". */
export async function staticHost(folder: string, under: string): Promise<StaticHost> {
  const host = { folder, asked: [] as string[], spoil: null as StaticHost['spoil'] };
  const server = createServer((request, response) => {
    void (async () => {
      const path = decodeURIComponent(new URL(request.url!, 'http://x').pathname);
      host.asked.push(path);
      const inside = normalize(path.slice(under.length) || 'index.html');
      try {
        if (!path.startsWith(under) || inside.startsWith('..')) throw new Error('outside');
        const file = join(host.folder, inside);
        if (!(await stat(file)).isFile()) throw new Error('no file');
        response.setHeader('Content-Type', TYPES[extname(file)] ?? 'application/octet-stream');
        const content = await readFile(file);
        response.end(host.spoil?.(path, content) ?? content);
      } catch {
        response.statusCode = 404;
        response.end();
      }
    })();
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  return Object.assign(host, {
    url: `http://127.0.0.1:${port}${under}`,
    close: () =>
      new Promise<void>((resolve) => {
        server.closeAllConnections();
        if (server.listening) server.close(() => resolve());
        else resolve();
      }),
  });
}
