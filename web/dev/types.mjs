/** Types of the build from its schema: npm run types. Writes src/types/build.gen.ts, which is never kept in the repository. */
import { readFile, writeFile } from 'node:fs/promises';
import { compile } from 'json-schema-to-typescript';

/** The compiler reads an older draft: tuples are lists of items there, and "one of these is required" it cannot say. */
function older(node) {
  if (Array.isArray(node)) return node.map(older);
  if (typeof node !== 'object' || node === null) return node;
  const { prefixItems, anyOf, ...rest } = node;
  const next = Object.fromEntries(Object.entries(rest).map(([key, value]) => [key, older(value)]));
  if (prefixItems) return { ...next, items: older(prefixItems) };
  const onlyRequires = anyOf?.every((one) => Object.keys(one).join() === 'required');
  return anyOf && !onlyRequires ? { ...next, anyOf: older(anyOf) } : next;
}

const schema = JSON.parse(await readFile(new URL('../../docs/build.schema.json', import.meta.url), 'utf8'));
const text = await compile(older(schema), 'Build', { bannerComment: '/** Made from docs/build.schema.json by npm run types. */', additionalProperties: false, style: { singleQuote: true, printWidth: 120 } });
if (/unknown/.test(text)) throw new Error('a part of docs/build.schema.json has no type: teach web/dev/types.mjs its keyword');
await writeFile(new URL('../src/types/build.gen.ts', import.meta.url), text);
