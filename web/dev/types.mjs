/** Types of the build from its schema: npm run types. Writes src/types/build.gen.ts. */
import { readFile, writeFile } from 'node:fs/promises';
import { compile } from 'json-schema-to-typescript';

const schema = JSON.parse(await readFile(new URL('../../docs/build.schema.json', import.meta.url), 'utf8'));
const text = await compile(schema, 'Build', { bannerComment: '/** Made from docs/build.schema.json by npm run types. */', additionalProperties: false, style: { singleQuote: true, printWidth: 120 } });
await writeFile(new URL('../src/types/build.gen.ts', import.meta.url), text);
