import { type Document, isAlias, isSeq, parseDocument, type YAMLMap, type YAMLSeq } from 'yaml';

/**
 * A scenario's text with further entries at the end of its timeline. Its comments and lines stay where they are.
 * @param text a scenario that can be read
 * @param entries as they stand in the trial's file, plain values
 */
export function withFaults(text: string, entries: readonly unknown[]): string {
  if (entries.length === 0) return text;
  const document: Document = parseDocument(text, { version: '1.2', logLevel: 'error' });
  let timeline = document.get('timeline', true) as unknown;
  if (!isSeq(timeline)) {
    // A list that stands elsewhere in the file is not to be changed there.
    timeline = document.createNode(isAlias(timeline) ? timeline.toJS(document) : []);
    document.set('timeline', timeline);
  }
  const list = timeline as YAMLSeq;
  list.flow = false;
  for (const entry of entries) {
    const node = document.createNode(entry);
    (node as YAMLMap).flow = true;
    list.items.push(node);
  }
  return document.toString({ lineWidth: 0 });
}
