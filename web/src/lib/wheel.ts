/** What a degree wheel shows, read as the server reads it, to echo it and to draw it. */
import { parseNumber, parseQuantity, wrap360 } from './quantity.ts';

const centres: readonly { mark: string; degrees: number; sign: number }[] = [
  { mark: 'BTDC', degrees: 0, sign: -1 },
  { mark: 'ATDC', degrees: 0, sign: 1 },
  { mark: 'BBDC', degrees: 180, sign: -1 },
  { mark: 'ABDC', degrees: 180, sign: 1 },
  { mark: 'TDC', degrees: 0, sign: 0 },
  { mark: 'BDC', degrees: 180, sign: 0 },
];

function degreesOf(text: string): number | undefined {
  const quantity = parseQuantity(text, 'angle');
  return quantity ? quantity.number : parseNumber(text);
}

/** Degrees along the wheel's own numbering, 0 at its TDC mark, not wrapped; nothing for other texts. */
export function parseWheel(text: string): number | undefined {
  const plain = degreesOf(text);
  if (plain !== undefined) return plain;
  const typed = text.trim();
  const upper = typed.toUpperCase();
  const centre = centres.find(({ mark }) => upper.endsWith(mark));
  if (!centre) return undefined;
  const digits = typed.slice(0, typed.length - centre.mark.length).trim();
  if (centre.sign === 0) return digits === '' ? centre.degrees : undefined;
  const from = degreesOf(digits);
  if (from === undefined || from < 0 || from > 180) return undefined;
  return centre.degrees + centre.sign * from;
}

const trimmed = (degrees: number): string => String(Math.round(degrees * 1000) / 1000);

/** The same place said the other way: "14 BTDC" for 346, "346" for "14 BTDC". */
export function echoWheel(text: string): string | undefined {
  const degrees = parseWheel(text);
  if (degrees === undefined) return undefined;
  const shown = wrap360(degrees);
  if (!/[a-z]/i.test(text.replace(/deg(rees?|s)?/i, ''))) {
    if (shown === 0) return 'TDC mark';
    if (shown === 180) return 'BDC mark';
    if (shown < 90) return `${trimmed(shown)} ATDC`;
    if (shown < 180) return `${trimmed(180 - shown)} BBDC`;
    if (shown < 270) return `${trimmed(shown - 180)} ABDC`;
    return `${trimmed(360 - shown)} BTDC`;
  }
  return `${trimmed(shown)} on a 360 wheel`;
}
