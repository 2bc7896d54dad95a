import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'svelte/compiler';
import { expect, test } from 'vitest';

/** What of a script's syntax is looked at. */
interface Node {
  readonly type: string;
  readonly [part: string]: unknown;
}
const nodes = (value: unknown): readonly Node[] => (Array.isArray(value) ? (value as Node[]) : []);
const nameOf = (node: unknown): string => {
  const { name, value } = node as { name?: string; value?: unknown };
  return name ?? String(value);
};

/** Properties that a component's type names and its script never takes, those of an empty list if it takes the rest as one. */
function unusedProps(source: string): string[] {
  const script = parse(source, { modern: true }).instance;
  if (script === null) return [];
  const body = nodes(script.content.body);
  const declared = body
    .filter(({ type }) => type === 'VariableDeclaration')
    .flatMap((node) => nodes(node['declarations']))
    .find(({ init }) => nameOf((init as { callee?: unknown } | null)?.callee ?? {}) === '$props');
  const pattern = declared?.['id'] as Node | undefined;
  if (pattern?.type !== 'ObjectPattern') return [];
  const taken = nodes(pattern['properties']);
  if (taken.some(({ type }) => type === 'RestElement')) return [];
  const type = (pattern['typeAnnotation'] as { typeAnnotation: Node } | undefined)?.typeAnnotation;
  if (type === undefined) return [];
  const own = body.find(
    (node) =>
      node['id'] !== undefined && type['typeName'] !== undefined && nameOf(node['id']) === nameOf(type['typeName']),
  );
  const literal = own === undefined ? type : ((own['body'] ?? own['typeAnnotation']) as Node);
  const members = nodes(literal['members'] ?? literal['body']);
  const names = new Set(taken.map(({ key }) => nameOf(key)));
  return members.map(({ key }) => nameOf(key)).filter((name) => !names.has(name));
}

const root = join(import.meta.dirname, '../src/ui');
const components = readdirSync(root, { recursive: true, encoding: 'utf8' }).filter((file) => file.endsWith('.svelte'));

test('each property that a component asks for is one that it takes', () => {
  expect(components.length).toBeGreaterThan(100);
  const unused = components.map((file) => [file, unusedProps(readFileSync(join(root, file), 'utf8'))] as const);
  expect(unused.filter(([, names]) => names.length > 0)).toEqual([]);
});

test.each([
  ['<script lang="ts">interface Props { a: 1; b: 2 } const { a }: Props = $props();</script>{a}', ['b']],
  ['<script lang="ts">const { a }: { a: 1; b: 2 } = $props();</script>{a}', ['b']],
  ['<script lang="ts">type Props = { a: 1; b: 2 }; const { a, b: c = 2 }: Props = $props();</script>{a}{c}', []],
  ['<script lang="ts">interface Props { a: 1; b: 2 } const { a, ...rest }: Props = $props();</script>{a}{rest.b}', []],
])('%s', (source, names) => {
  expect(unusedProps(source)).toEqual(names);
});
