import type { Plugin } from 'vite';

/** What the page shows first: its entry, and the room that somebody sees who opens it. */
const FIRST = [/\/index\.html$/, /\/src\/ui\/main\.ts$/, /\/src\/ui\/start\/StartRoom\.svelte$/];
/** The rooms that a measured die goes through. */
const MEASURING = [/\/src\/ui\/photos\/PhotosRoom\.svelte$/, /\/src\/ui\/shape\/ShapeRoom\.svelte$/];

interface Graph {
  readonly getModuleInfo: (id: string) => { readonly importedIds: readonly string[] } | null;
}

/**
 * Puts what the two measuring rooms need beyond the first room into one file: left to itself it lies in some fifty, most of them of a few kilobytes, and each is
 * a request at the moment when the worker, its WASM and the photos are asked for.
 */
export function chunks(): Plugin {
  let ids = new Set<string>();
  let reached: ((graph: Graph) => readonly [Set<string>, Set<string>]) | undefined;
  return {
    name: 'evencast-chunks',
    apply: 'build',
    buildStart() {
      ids = new Set();
      let known: readonly [Set<string>, Set<string>] | undefined;
      reached = (graph) => (known ??= [reach(ids, FIRST, graph), reach(ids, MEASURING, graph)]);
    },
    moduleParsed({ id }) {
      ids.add(id);
    },
    config: () => ({
      build: {
        rolldownOptions: {
          output: {
            codeSplitting: {
              groups: [
                {
                  name(id: string, graph: Graph) {
                    const [first, measuring] = reached!(graph);
                    return first.has(id) ? 'first' : measuring.has(id) ? 'measuring' : null;
                  },
                  includeDependenciesRecursively: false,
                },
              ],
            },
          },
        },
      },
    }),
  };
}

/** These modules and all that they import, as far as it is not imported later. */
function reach(ids: ReadonlySet<string>, from: readonly RegExp[], graph: Graph): Set<string> {
  const found = new Set([...ids].filter((id) => from.some((pattern) => pattern.test(id))));
  for (const id of found) for (const next of graph.getModuleInfo(id)?.importedIds ?? []) found.add(next);
  return found;
}
