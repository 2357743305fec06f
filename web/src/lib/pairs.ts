/** Pairs of wheel and lift out of pasted or typed text: two columns, any usual separator, headings skipped. */
import { isBareNumber, parseQuantity, withUnit, type UnitName } from './quantity.ts';
import { parseWheel } from './wheel.ts';

export interface Pairs {
  points: [string, string][];
  /** Lines that were not understood, counted from 1, with what they hold. */
  skipped: { line: number; text: string }[];
}

const separators = [/\t+/, /\s*;\s*/, /\s*,\s+/, /\s{2,}/, /\s+/, /,/];

function columns(line: string): [string, string] | undefined {
  for (const separator of separators) {
    const parts = line.split(separator).map((part) => part.trim()).filter((part) => part !== '');
    const [wheel, lift] = parts;
    if (parts.length === 2 && wheel !== undefined && lift !== undefined && isWheel(wheel) && isLift(lift)) return [wheel, lift];
  }
  // "5 deg 0.0010 in": units stand between the blanks.
  const spaced = /^(\S+(?:\s*(?:deg|°|[AB][TB]DC))?)\s+(\S+(?:\s*[a-z"]+)?)$/i.exec(line);
  const [, wheel, lift] = spaced ?? [];
  return wheel !== undefined && lift !== undefined && isWheel(wheel) && isLift(lift) ? [wheel, lift] : undefined;
}

const isWheel = (text: string): boolean => parseWheel(text) !== undefined;
const isLift = (text: string): boolean => isBareNumber(text) || parseQuantity(text, 'length') !== undefined;

export function parsePairs(text: string, liftUnit: UnitName): Pairs {
  const pairs: Pairs = { points: [], skipped: [] };
  text.split(/\r?\n/).forEach((raw, index) => {
    const line = raw.trim();
    if (line === '') return;
    const found = columns(line);
    if (found) pairs.points.push([withUnit(found[0], 'deg'), withUnit(found[1], liftUnit)]);
    else pairs.skipped.push({ line: index + 1, text: line });
  });
  return pairs;
}

export const pairsText = (points: readonly (readonly [string, string])[]): string =>
  points.map(([wheel, lift]) => `${wheel}\t${lift}`).join('\n');
