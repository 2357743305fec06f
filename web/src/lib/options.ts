/** What a field offers to choose from, where that depends on the engine. */
import type { FieldDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';

export function optionsOf(field: Pick<FieldDescription, 'type' | 'tools'> & { key?: string }, document: Build): { value: string; title: string }[] | undefined {
  switch (field.type) {
    case 'cylinder':
      return [...document.engine.firing_order].sort((a, b) => a - b).map((one) => ({ value: String(one), title: String(one) }));
    case 'tool':
      return Object.entries(document.tools ?? {})
        .filter(([, tool]) => (field.tools ?? []).includes(tool.kind))
        .map(([name]) => ({ value: name, title: name }));
    case 'position':
      return [{ value: '', title: 'as fitted now' }, ...(document.timing_set?.positions ?? []).map((one) => ({ value: one, title: one }))];
    case 'text':
      return field.key === 'fastener' ? Object.keys(document.fasteners ?? {}).map((name) => ({ value: name, title: name })) : undefined;
    default:
      return undefined;
  }
}
