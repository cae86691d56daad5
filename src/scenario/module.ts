import { LodestubError } from '../base/error.js';
import type { ModuleProfile } from '../emit/module-profile.js';
import { SENTENCE_MAX } from '../emit/sentences/layout.js';
import { type SentenceName, type SentenceStyle, sentencesOf, styleConflict } from '../emit/sentences/style.js';
import { readYaml, type YamlDocument } from './document.js';
import { explain, mistake, report } from './explain.js';
import { longestSentence } from './line-load.js';
import { MODULE_FILE_SCHEMA, type ModuleSettings } from './module-schema.js';
import { PLAIN_RECEIVER, receiverSettings } from './receiver-schema.js';
import { STYLE_KEYS, styleFrom } from './style-schema.js';

/**
 * Reads a module profile's file.
 * @param file its name, for messages
 * @param name the profile's name
 * @throws LodestubError `module.…`
 */
export function readModule(text: string, file: string, name: string): ModuleProfile {
  const document = readYaml(text, file, 'module');
  const result = MODULE_FILE_SCHEMA.safeParse(document.value);
  if (!result.success) throw explain(document, result.error.issues, () => null);
  return moduleFrom(result.data, name, document, []);
}

/**
 * A profile from settings that were checked one by one; checks what they must satisfy together.
 * @param at where the settings stand in the document
 * @throws LodestubError `module.range`
 */
export function moduleFrom(
  settings: ModuleSettings,
  name: string,
  document: YamlDocument,
  at: readonly string[],
): ModuleProfile {
  const { receiver } = settings;
  const style = styleFrom(settings);
  const epochMs = Math.round(1000 / settings.rate);
  if (Math.abs(1000 / settings.rate - epochMs) > 1e-6) {
    throw report(document, [
      mistake(document, [...at, 'rate'], {
        kind: 'range',
        expected: 'a rate whose interval is whole milliseconds, such as 1 Hz, 5 Hz or 10 Hz',
        received: `${settings.rate} Hz`,
      }),
    ]);
  }
  checkStyle(style, settings, document, at);
  const profile: ModuleProfile = {
    name,
    title: settings.title ?? name,
    baud: settings.baud,
    epochMs,
    latencyMs: milliseconds(settings.latency),
    jitterMs: milliseconds(settings.jitter),
    bootMs: milliseconds(settings.boot),
    banner: settings.banner,
    transmitBufferBytes: settings['transmit-buffer'],
    overflow: settings.overflow,
    bridge:
      settings.bridge === undefined
        ? null
        : { holdMs: milliseconds(settings.bridge.hold), packetBytes: settings.bridge.packet },
    backlogBytes: settings.backlog,
    onOpen: settings['on-open'] ?? null,
    speedSearch: speedSearchFrom(settings['speed-search']),
    dialectName: settings.dialect,
    style,
    sentences: Object.entries(settings.sentences).map(([key, every]) => ({ name: key as SentenceName, every })),
    receiver: receiverSettings(PLAIN_RECEIVER, receiver),
  };
  const longest = longestSentence(profile);
  if (longest.bytes > SENTENCE_MAX && !style.longLines) {
    throw report(document, [
      mistake(document, [...at, 'decimals'], {
        kind: 'range',
        expected: `decimals with which no sentence exceeds ${SENTENCE_MAX} characters (or long-lines: true)`,
        received: `${longest.name} with up to ${longest.bytes}`,
      }),
    ]);
  }
  return profile;
}

/** @throws LodestubError `module.range` for settings that contradict each other, or a sentence of a later version */
function checkStyle(
  style: SentenceStyle,
  settings: ModuleSettings,
  document: YamlDocument,
  at: readonly string[],
): void {
  const conflict = styleConflict(style);
  if (conflict !== null) {
    const key = STYLE_KEYS[conflict.setting] ?? conflict.setting;
    const received = String(style[conflict.setting]);
    throw report(document, [mistake(document, [...at, key], { kind: 'range', expected: conflict.expected, received })]);
  }
  const known: readonly string[] = sentencesOf(style.version);
  const unknown = Object.keys(settings.sentences).find((name) => !known.includes(name));
  if (unknown === undefined) return;
  throw report(document, [
    mistake(document, [...at, 'sentences', unknown], {
      kind: 'range',
      expected: `sentences that version ${style.version} has: ${known.join(', ')}`,
      received: unknown,
    }),
  ]);
}

/** An error for a name that no profile has. */
export function unknownModule(name: string, hint: string): LodestubError {
  return new LodestubError({
    code: 'module.unknown-name',
    expected: 'the name of a module profile, or a file (with / or .yaml in it)',
    received: JSON.stringify(name),
    hint,
  });
}

function speedSearchFrom(search: ModuleSettings['speed-search']): ModuleProfile['speedSearch'] {
  return search === undefined ? null : { speedsBaud: search.speeds, dwellMs: milliseconds(search.dwell) };
}

function milliseconds(durationS: number): number {
  return Number((durationS * 1000).toPrecision(12));
}
