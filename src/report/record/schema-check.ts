/** The words of JSON Schema (draft 2020-12) that this project's schemas use; another word is a bug, not a licence. */
export interface Schema {
  readonly type?: string | readonly string[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean;
  readonly items?: Schema;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly pattern?: string;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly anyOf?: readonly Schema[];
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, Schema>>;
  readonly $schema?: string;
  readonly $id?: string;
  readonly title?: string;
  readonly description?: string;
}

/** Where a value departs from a schema, as one line; null where it does not. */
export function schemaFault(value: unknown, schema: Schema, root: Schema = schema, at = 'report'): string | null {
  if (schema.$ref !== undefined)
    return schemaFault(value, root.$defs![schema.$ref.slice('#/$defs/'.length)]!, root, at);
  if (schema.anyOf) {
    const faults = schema.anyOf.map((s) => schemaFault(value, s, root, at));
    return faults.includes(null) ? null : faults.at(-1)!;
  }
  const kind = typeOf(value);
  const types = schema.type === undefined ? null : [schema.type].flat();
  if (types && !types.includes(kind) && !(kind === 'integer' && types.includes('number')))
    return `${at}: ${kind} seen, ${types.join(' or ')} needed`;
  if ('const' in schema && value !== schema.const) return `${at}: ${told(value)} seen, ${told(schema.const)} needed`;
  if (schema.enum && !schema.enum.includes(value)) return `${at}: ${told(value)} is none of ${told(schema.enum)}`;
  if (typeof value === 'number') return numberFault(value, schema, at);
  if (typeof value === 'string') return textFault(value, schema, at);
  if (Array.isArray(value)) return listFault(value, schema, root, at);
  if (kind === 'object') return objectFault(value as Record<string, unknown>, schema, root, at);
  return null;
}

const told = (v: unknown): string => JSON.stringify(v)?.slice(0, 60) ?? 'nothing';

function typeOf(v: unknown): string {
  if (v === null) return 'null';
  if (Array.isArray(v)) return 'array';
  if (typeof v === 'number') return Number.isInteger(v) ? 'integer' : Number.isFinite(v) ? 'number' : 'no number';
  return typeof v;
}

function numberFault(v: number, s: Schema, at: string): string | null {
  if (s.minimum !== undefined && v < s.minimum) return `${at}: ${v} seen, ${s.minimum} or more needed`;
  if (s.maximum !== undefined && v > s.maximum) return `${at}: ${v} seen, ${s.maximum} or less needed`;
  if (s.exclusiveMinimum !== undefined && v <= s.exclusiveMinimum) return `${at}: ${v} seen, more than ${s.exclusiveMinimum} needed`; // prettier-ignore
  return null;
}

function textFault(v: string, s: Schema, at: string): string | null {
  if (s.maxLength !== undefined && v.length > s.maxLength && [...v].length > s.maxLength)
    return `${at}: more than ${s.maxLength} characters`;
  if (s.pattern !== undefined && !new RegExp(s.pattern, 'u').test(v)) return `${at}: ${told(v)} does not fit ${s.pattern}`; // prettier-ignore
  return null;
}

function listFault(v: readonly unknown[], s: Schema, root: Schema, at: string): string | null {
  if (s.minItems !== undefined && v.length < s.minItems) return `${at}: ${v.length} entries, ${s.minItems} needed`;
  if (s.maxItems !== undefined && v.length > s.maxItems) return `${at}: ${v.length} entries, at most ${s.maxItems}`;
  if (!s.items) return null;
  for (const [i, entry] of v.entries()) {
    const fault = schemaFault(entry, s.items, root, `${at}[${i}]`);
    if (fault !== null) return fault;
  }
  return null;
}

function objectFault(v: Record<string, unknown>, s: Schema, root: Schema, at: string): string | null {
  const missing = s.required?.find((key) => !Object.hasOwn(v, key));
  if (missing !== undefined) return `${at}.${missing}: missing`;
  for (const [key, entry] of Object.entries(v)) {
    const own = s.properties && Object.hasOwn(s.properties, key) ? s.properties[key]! : null;
    if (own === null && s.additionalProperties === false) return `${at}: ${told(key)} is unknown`;
    const fault = own === null ? null : schemaFault(entry, own, root, `${at}.${key}`);
    if (fault !== null) return fault;
  }
  return null;
}
