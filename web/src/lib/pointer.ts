/** JSON Pointer (RFC 6901) over a build, where elements that carry an `id` are addressed by it. */
import type { Json, Operation } from '../types/api.ts';

type Holder = { [key: string]: Json } | Json[];

export const escapeToken = (token: string): string => token.replace(/~/g, '~0').replace(/\//g, '~1');

export const tokensOf = (path: string): string[] =>
  path === '' ? [] : path.slice(1).split('/').map((token) => token.replace(/~1/g, '/').replace(/~0/g, '~'));

export const pathOf = (tokens: readonly string[]): string => tokens.map((token) => `/${escapeToken(token)}`).join('');

const isHolder = (value: Json | undefined): value is Holder => typeof value === 'object' && value !== null;

function indexIn(list: readonly Json[], token: string): number {
  const named = list.findIndex((element) => isHolder(element) && !Array.isArray(element) && element['id'] === token);
  if (named >= 0) return named;
  const hasIds = list.some((element) => isHolder(element) && !Array.isArray(element) && 'id' in element);
  return !hasIds && /^(0|[1-9]\d*)$/.test(token) ? Number(token) : -1;
}

function child(holder: Json | undefined, token: string): Json | undefined {
  if (!isHolder(holder)) return undefined;
  if (Array.isArray(holder)) return holder[indexIn(holder, token)];
  return Object.hasOwn(holder, token) ? holder[token] : undefined;
}

export function valueAt(document: Json, path: string): Json | undefined {
  let here: Json | undefined = document;
  for (const token of tokensOf(path)) here = child(here, token);
  return here;
}

function setIn(holder: Json | undefined, tokens: readonly string[], value: Json | undefined): Json | undefined {
  const [token, ...rest] = tokens;
  if (token === undefined) return value;
  if (Array.isArray(holder)) return setInList(holder, token, rest, value);
  const object: { [key: string]: Json } = isHolder(holder) ? { ...holder } : {};
  const next = setIn(child(object, token), rest, value);
  if (next === undefined) delete object[token];
  else object[token] = next;
  return object;
}

function setInList(list: readonly Json[], token: string, rest: readonly string[], value: Json | undefined): Json[] {
  const copy = [...list];
  const index = indexIn(copy, token);
  const next = setIn(index >= 0 ? copy[index] : undefined, rest, value);
  if (index < 0) {
    if (next !== undefined) copy.push(next);
  } else if (next === undefined) {
    copy.splice(index, 1);
  } else {
    copy[index] = next;
  }
  return copy;
}

/** The document after the operations; the one given is left alone. */
export function applyOperations<T>(document: T, operations: readonly Operation[]): T {
  let result = document as unknown as Json;
  for (const { path, value } of operations) {
    const tokens = tokensOf(path);
    const base = tokens[0] === 'readings' && valueAt(result, '/readings') === undefined
      ? (setIn(result, ['readings'], []) as Json)
      : result;
    result = setIn(base, tokens, value) as Json;
  }
  return result as unknown as T;
}

/** Whether one path is the other or leads to it. */
export const overlaps = (a: string, b: string): boolean => a === b || a.startsWith(`${b}/`) || b.startsWith(`${a}/`);

/**
 * The operation that puts `value` at `path` in a document where parents may still be missing: those are made
 * from `starts` (what a new part holds at least, by path) in the same operation.
 */
export function operationFor(
  document: Json,
  path: string,
  value: Json | undefined,
  starts: Readonly<Record<string, Json>> = {},
): Operation {
  const tokens = tokensOf(path);
  const missing = tokens.findIndex((_, i) => i < tokens.length - 1 && valueAt(document, pathOf(tokens.slice(0, i + 1))) === undefined);
  if (missing < 0 || value === undefined) return value === undefined ? { path } : { path, value };
  let made: Json = {};
  const root = tokens.slice(0, missing + 1);
  for (let i = missing; i < tokens.length - 1; i += 1) {
    const start = starts[pathOf(tokens.slice(0, i + 1))];
    if (start !== undefined) made = setIn(made, tokens.slice(missing + 1, i + 1), start) as Json;
  }
  made = setIn(made, tokens.slice(missing + 1), value) as Json;
  return { path: pathOf(root), value: made };
}
