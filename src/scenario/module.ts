import { LodestubError } from '../base/error.js';
import type { ModuleProfile } from '../emit/module-profile.js';
import type { SentenceName } from '../emit/sentences/style.js';
import { readYaml, type YamlDocument } from './document.js';
import { explain, mistake, report } from './explain.js';
import { longestSentence } from './line-load.js';
import { MODULE_FILE_SCHEMA, type ModuleSettings } from './module-schema.js';

/** Characters of the longest sentence that the standard allows, `$` and CR LF included. */
const SENTENCE_MAX = 82;

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
  const { decimals, receiver } = settings;
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
    style: {
      version: settings.version,
      talker: settings.talker,
      minuteDecimals: decimals.minutes,
      secondDecimals: decimals.seconds,
      altitudeDecimals: decimals.altitude,
      speedDecimals: decimals.speed,
      courseDecimals: decimals.course,
      dopDecimals: decimals.dop,
      unknownDop: settings['unknown-dop'],
    },
    sentences: Object.entries(settings.sentences).map(([key, every]) => ({ name: key as SentenceName, every })),
    receiver: {
      elevationMaskDeg: receiver['elevation-mask'],
      channels: receiver.channels,
      antenna: receiver.antenna,
      courseMinSpeedMps: receiver['course-min-speed'],
      simulatorFlags: receiver['simulator-flags'],
    },
  };
  const longest = longestSentence(profile);
  if (longest.bytes > SENTENCE_MAX) {
    throw report(document, [
      mistake(document, [...at, 'decimals'], {
        kind: 'range',
        expected: `decimals with which no sentence exceeds ${SENTENCE_MAX} characters`,
        received: `${longest.name} with up to ${longest.bytes}`,
      }),
    ]);
  }
  return profile;
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

function milliseconds(durationS: number): number {
  return Number((durationS * 1000).toPrecision(12));
}
