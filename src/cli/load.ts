import { atPath } from '../base/at-path.js';
import { LodestubError } from '../base/error.js';
import type { RecordingOptions } from '../scenario/from-recording.js';
import type { Scenario, ScenarioOverrides } from '../scenario/scenario.js';

/** Options that choose and change a scenario. */
export interface ScenarioOptions {
  readonly seed?: number;
  readonly module?: string;
  readonly baud?: number;
  /** s */
  readonly for?: number;
  readonly at?: string;
  readonly track?: string;
  /** A recording to be played, without a scenario. */
  readonly recording?: RecordingOptions;
}

/**
 * The scenario that the command line asks for.
 * @throws LodestubError
 */
export async function loadScenario(name: string | undefined, options: ScenarioOptions): Promise<Scenario> {
  const overrides: ScenarioOverrides = {
    ...(options.seed === undefined ? {} : { seed: options.seed }),
    ...(options.module === undefined ? {} : { module: options.module }),
    ...(options.baud === undefined ? {} : { baud: options.baud }),
    ...(options.for === undefined ? {} : { durationS: options.for }),
  };
  const { at, track, recording } = options;
  if (recording !== undefined) {
    const { scenarioFromRecording } = await import('../scenario/from-recording.js');
    const scenario = await scenarioFromRecording(recording, overrides);
    tellSpeed(scenario, overrides);
    return scenario;
  }
  if (at === undefined && track === undefined) {
    const { loadScenarioFile } = await import('../scenario/read.js');
    const { BUILT_IN_SCENARIO } = await import('../scenario/shipped.js');
    return loadScenarioFile(name ?? BUILT_IN_SCENARIO, overrides);
  }
  if (name !== undefined) {
    throw new LodestubError({
      code: 'command.conflict',
      path: 'run',
      expected: 'a scenario, or --at, or --track',
      received: `the scenario ${name} and ${at === undefined ? '--track' : '--at'}`,
      hint: 'Leave one of them out.',
    });
  }
  const { scenarioFromOptions } = await import('../scenario/from-options.js');
  const { parsePlace } = await import('../scenario/place.js');
  return scenarioFromOptions(
    {
      ...(at === undefined ? {} : { at: atPath('--at', () => parsePlace(at)) }),
      ...(track === undefined ? {} : { track: await readTrack(track) }),
    },
    overrides,
  );
}

/** A host has to know the speed that was chosen for a recording. */
function tellSpeed({ source, module }: Scenario, { baud }: ScenarioOverrides): void {
  if (source.changes.baud === baud) return;
  process.stderr.write(`line: ${module.baud} baud, as the recording needs; --baud chooses another speed\n`);
}

async function readTrack(path: string) {
  const { readGpx } = await import('../scenario/gpx.js');
  const { NODE_FILES, readFailure } = await import('../scenario/shipped.js');
  let text: string;
  try {
    text = await NODE_FILES.readText(path);
  } catch (error) {
    const hint = 'Name a GPX file.';
    throw new LodestubError({ code: 'track.missing', path, summary: readFailure(error), hint, cause: error });
  }
  return { points: readGpx(text, path), source: path };
}
