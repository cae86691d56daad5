import { DOMParser, type Document, type Element } from '@xmldom/xmldom';

/** The page read by an XML parser of others: it stands in the way of unescaped text. Void elements are closed by us. */
export function parsePage(html: string): { document: Document; problems: string[] } {
  const problems: string[] = [];
  const parser = new DOMParser({
    onError: (level, message) => {
      problems.push(`${level}: ${message}`);
    },
  });
  const xml = html.replace(/^<!doctype html>\n/, '').replace(/ open(?=[ >])/g, ' open="open"');
  return { document: parser.parseFromString(xml, 'text/xml'), problems };
}

/** Elements of a name, in order. */
export function elements(document: Document, name: string): Element[] {
  return Array.from(document.getElementsByTagName(name));
}

/** Every address that a page may fetch something from. */
export function outsideReferences(html: string): string[] {
  return (
    html.match(
      /(?:\b(?:src|href|srcset|action|data|poster)\s*=\s*"(?!#)[^"]*"|url\([^)]*\)|@import[^;]*|<script[^>]*>)/gi,
    ) ?? []
  );
}

/** Figures that no reader should meet. */
export function noise(html: string): string[] {
  const body = html.slice(html.indexOf('<main>'));
  return body.match(/NaN|undefined|Infinity|\[object|\d[eE][-+]\d|(?<![\w.])-0(?:\.0+)?(?![\d.])(?=[ "<,VHLM])/g) ?? [];
}

/** Text that a program under test may write. */
export const HOSTILE = [
  '<script>alert(1)</script>',
  '</style></title></pre><img src=x onerror=alert(1)>',
  `"'&amp;&lt; \u0000\u0007\u001b[31m\u007f\u0085`,
  'half \ud800 a \udc00 character',
  'turned \u202e round \u2066\ufeff',
  'x'.repeat(10_000),
  ']]> <!-- --> {{}} %s',
] as const;

/** A copy with this text in place of every string, but where words are chosen from a list: those keys are kept. */
export function withText<T>(value: T, text: string, kept: readonly string[]): T {
  if (typeof value === 'string') return text as T;
  if (Array.isArray(value)) return value.map((item) => withText(item, text, kept)) as T;
  if (typeof value !== 'object' || value === null) return value;
  const entries = Object.entries(value).map(([key, inner]) => [
    key,
    kept.includes(key) ? inner : withText(inner, text, kept),
  ]);
  return Object.fromEntries(entries) as T;
}

/** A copy with this number in place of every number. */
export function withNumber<T>(value: T, number: number): T {
  if (typeof value === 'number') return number as T;
  if (Array.isArray(value)) return value.map((item) => withNumber(item, number)) as T;
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, withNumber(inner, number)])) as T;
}

/** The words that a reader sees, with spaces of one width. */
export function wordsOf(html: string): string {
  const body = html.slice(html.indexOf('<main>'));
  return body
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&lt;', '<')
    .replaceAll('&quot;', '"')
    .replaceAll('&amp;', '&')
    .replace(/[\s\u202f]+/g, ' ');
}
