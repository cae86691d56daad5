import { LodestubError } from '../../base/error.js';
import { suggest } from '../../base/nearest.js';

/** What may stand in braces in a host's command, its environment and the reports' file, and what it stands for. */
export const PLACEHOLDERS = {
  port: 'The port that the module is on: a path that stays the case’s own, whenever the port goes and comes back',
  baud: 'The speed of the module’s line, baud',
  link: 'The same',
  tcp: 'Where the module is on TCP: 127.0.0.1:9200',
  reports: 'Where reports are taken: 127.0.0.1:9100, or http://127.0.0.1:9100/',
  case: 'Name of the case, fit for a file’s name',
  folder: 'A fresh folder of the case’s own, removed at its end',
} as const;

/** The name of a placeholder. */
export type PlaceholderName = keyof typeof PLACEHOLDERS;

/** What the placeholders stand for in a case; one that is left out has no value there. */
export type PlaceholderValues = Readonly<Partial<Record<PlaceholderName, string>>>;

const KNOWN = Object.keys(PLACEHOLDERS);

/** A brace that is written twice, or a word in braces; any other brace is one. */
const BRACES = /\{\{|\{([A-Za-z][\w-]*)\}/g;

/** The names of the placeholders in a text, in order. */
export function placeholdersIn(text: string): PlaceholderName[] {
  return [...text.matchAll(BRACES)].flatMap(([, name]) => (isKnown(name) ? [name] : []));
}

/** The first word in braces that is no placeholder; null: there is none. `{{` stands for a brace. */
export function unknownPlaceholder(text: string): string | null {
  for (const [all, name] of text.matchAll(BRACES)) if (all !== '{{' && !isKnown(name)) return name as string;
  return null;
}

/**
 * A text with its placeholders filled in.
 * @param where whose text it is, for the message
 * @throws LodestubError `trial.placeholder` where one is not known, or has no value in this case
 */
export function fillPlaceholders(text: string, values: PlaceholderValues, where: string): string {
  return text.replace(BRACES, (all, name?: string) => {
    if (all === '{{') return '{';
    const value = isKnown(name) ? values[name] : undefined;
    if (value !== undefined) return value;
    const there = KNOWN.filter((each) => values[each as PlaceholderName] !== undefined);
    throw new LodestubError({
      code: 'trial.placeholder',
      path: where,
      summary: isKnown(name) ? `{${name}} has no value in this case` : `${all} is no placeholder`,
      hint: `${suggest(name ?? '', there)} A brace before a word is written {{.`,
    });
  });
}

function isKnown(name: string | undefined): name is PlaceholderName {
  return name !== undefined && Object.hasOwn(PLACEHOLDERS, name);
}
