import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { dimensionOf } from './quantity.ts';
import { limitColumns, partValue, sections, toolFields, toolKinds } from './parts.ts';

test('lists of angles are read with and without units', () => {
  const positions = { type: 'text' as const, holds: 'angles' };
  expect(partValue(positions, '-4, 0, 4', 'deg')).toEqual(['-4 deg', '0 deg', '4 deg']);
  expect(partValue(positions, '-4 deg, 0 deg', 'deg')).toEqual(['-4 deg', '0 deg']);
  expect(partValue(positions, '-4 0 4', 'deg')).toEqual(['-4 deg', '0 deg', '4 deg']);
});

test('numbers, choices and quantities become what the document holds', () => {
  expect(partValue({ type: 'text', holds: 'number' }, '1.5', '')).toBe(1.5);
  expect(partValue({ type: 'choice', holds: 'boolean' }, 'false', '')).toBe(false);
  expect(partValue({ type: 'length' }, '4', 'in')).toBe('4 in');
  expect(partValue({ type: 'length' }, '', 'in')).toBeUndefined();
  expect(partValue({ type: 'text', holds: 'numbers' }, '1-3-4-2', '')).toEqual([1, 3, 4, 2]);
});

test('every place is named once', () => {
  const paths = sections.flatMap((one) => [...one.fields.map(({ path }) => path), ...(one.rows ?? []).map(({ path }) => path)]);
  expect(new Set(paths).size).toBe(paths.length);
});

test('lists of lengths take the unit of the field', () => {
  expect(partValue({ type: 'text', holds: 'lengths' }, '7.750, 7.800 in; 198 mm', 'in')).toEqual(['7.750 in', '7.800 in', '198 mm']);
  expect(partValue({ type: 'force' }, '115', 'lb')).toBe('115 lb');
  expect(partValue({ type: 'number', holds: 'number' }, '6.5', '')).toBe(6.5);
});

test('a wheel has angles and an indicator lengths', () => {
  expect(toolFields('degree_wheel').find(({ path }) => path === 'resolution')?.type).toBe('angle');
  expect(toolFields('load_tester').find(({ path }) => path === 'range')?.type).toBe('force');
  expect(toolFields('dial_indicator').find(({ path }) => path === 'resolution')?.type).toBe('length');
});

/** The form against docs/build.schema.json: every place it writes exists there, offers the same words and holds the same kind. */
describe('the schema of the build', () => {
  type Node = { type?: string; enum?: string[]; properties?: Record<string, Node>; items?: Node; additionalProperties?: Node; $comment?: string };
  const schema = JSON.parse(readFileSync(new URL('../../../docs/build.schema.json', import.meta.url), 'utf8')) as Node;
  const at = (path: string): Node | undefined => path.slice(1).split('/').reduce<Node | undefined>((node, token) => node?.properties?.[token], schema);
  const words = (list: readonly { value: string }[] | undefined): string[] => (list ?? []).map(({ value }) => value).sort();
  const typeOf: Record<string, string[]> = { number: ['number', 'integer'], numbers: ['array'], banks: ['array'], angles: ['array'], lengths: ['array'], boolean: ['boolean'] };

  test.each(sections.flatMap((one) => one.fields).map((field) => [field.path, field] as const))('knows %s', (path, field) => {
    const node = at(path);
    expect(node?.type).toBeDefined();
    expect(typeOf[field.holds ?? ''] ?? ['string']).toContain(node?.type);
    if (field.type === 'choice' && field.holds === undefined) expect(words(field.choices)).toEqual([...(node?.enum ?? [])].sort());
    const dimension = dimensionOf(field);
    if (dimension && !field.holds && field.type !== 'position') expect(node?.$comment).toContain(dimension);
  });

  const rows = [...sections.flatMap((one) => one.rows ?? []), { path: '/limits', title: '', columns: limitColumns([]) }];
  test.each(rows.flatMap(({ path, columns }) => columns.map((column) => [path, column.key] as const)))('knows %s, %s', (path, key) => {
    expect((at(path)?.items ?? at(path))?.properties?.[key]).toBeDefined();
  });

  test('knows the tools and their figures', () => {
    const tool = at('/tools')?.additionalProperties;
    expect(words(toolKinds)).toEqual([...(tool?.properties?.['kind']?.enum ?? [])].sort());
    const places = new Set(toolKinds.flatMap(({ value }) => toolFields(value).map(({ path }) => path)));
    expect([...places, 'kind'].sort()).toEqual(Object.keys(tool?.properties ?? {}).sort());
  });
});
