import { LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';
import { readLiveOffer } from '../scenario/live-offer.js';
import { type LiveControl, MAX_PACE, MIN_PACE } from './live-control.js';

/** A JSON object that came over the socket. */
export type Request = Readonly<Record<string, unknown>>;

/** What is answered, beside `ok` and the request's tag. */
export type Answer = Readonly<Record<string, unknown>>;

interface Operation {
  /** Keys of the request beside `do` and `tag`. */
  readonly keys: readonly string[];
  readonly act: (live: LiveControl, request: Request) => Answer | Promise<Answer>;
}

const OPERATIONS: Readonly<Record<string, Operation>> = {
  pause: { keys: [], act: (live) => ({ atMs: live.pause() }) },
  resume: { keys: [], act: (live) => ({ atMs: live.resume() }) },
  step: { keys: [], act: step },
  pace: { keys: ['factor'], act: pace },
  start: { keys: ['offer', 'fault', 'with', 'surroundings', 'for'], act: start },
  clear: { keys: ['id', 'offer'], act: clear },
  status: { keys: [], act: (live) => ({ ...live.status() }) },
  stop: { keys: [], act: stop },
};

/** What a request can ask for here; `watch` is the socket's own. */
const NAMES = [...Object.keys(OPERATIONS), 'watch'];

/**
 * Does what a request asks for.
 * @throws LodestubError `control.…`, and `scenario.…` for a fault or surroundings that are not written well
 */
export function fulfil(live: LiveControl, request: Request): Answer | Promise<Answer> {
  const name = request.do;
  const operation = typeof name === 'string' && Object.hasOwn(OPERATIONS, name) ? OPERATIONS[name] : undefined;
  if (operation === undefined) {
    throw new LodestubError({
      code: 'control.request',
      path: 'do',
      expected: `one of ${NAMES.join(', ')}`,
      received: JSON.stringify(name)?.slice(0, 60) ?? 'nothing',
      ...(typeof name === 'string' ? { hint: suggest(name.slice(0, 60), NAMES) } : {}),
    });
  }
  checkKeys(request, operation.keys);
  return operation.act(live, request);
}

/** @throws LodestubError `control.request` for a key that is not known */
export function checkKeys(request: Request, keys: readonly string[]): void {
  const known = ['do', 'tag', ...keys];
  const unknown = Object.keys(request).find((key) => !known.includes(key));
  if (unknown === undefined) return;
  const word = unknown.slice(0, 60);
  const summary = `the key ${word} is not known in a request to ${String(request.do)}`;
  throw new LodestubError({ code: 'control.request', summary, hint: suggest(word, known) });
}

async function step(live: LiveControl): Promise<Answer> {
  live.step();
  return { atMs: await live.atRest() };
}

function pace(live: LiveControl, { factor }: Request): Answer {
  if (typeof factor !== 'number' || !(factor >= MIN_PACE && factor <= MAX_PACE)) {
    throw valueError('factor', `a number of ${MIN_PACE} to ${MAX_PACE}, times real time`, factor);
  }
  live.setPace(factor);
  return { pace: factor };
}

function start(live: LiveControl, request: Request): Answer {
  const { offer, fault, surroundings } = request;
  checkOneOf(request, ['offer', 'fault', 'surroundings']);
  if (offer !== undefined) {
    if (request.with !== undefined || request.for !== undefined) {
      const summary = 'an offer has settings of its own';
      const hint = 'Leave with and for out, or name a fault.';
      throw new LodestubError({ code: 'control.request', path: 'offer', summary, hint });
    }
    return live.startOffer(offer);
  }
  const { with: settings, for: time } = request;
  const written = {
    ...(fault === undefined ? { surroundings } : { fault }),
    ...(settings === undefined ? {} : { with: settings }),
    ...(time === undefined ? {} : { for: time }),
  };
  return live.start(readLiveOffer(written, 'start'));
}

function clear(live: LiveControl, request: Request): Answer {
  checkOneOf(request, ['id', 'offer']);
  const { id, offer } = request;
  if (offer !== undefined) return live.clearOffer(offer);
  if (typeof id !== 'string') throw valueError('id', 'the id of a fault in force, such as "live-1.1"', id);
  return live.clear(id);
}

function stop(live: LiveControl): Answer {
  live.stop();
  return {};
}

/** @throws LodestubError `control.request` unless exactly one of the keys is there */
function checkOneOf(request: Request, keys: readonly string[]): void {
  const present = keys.filter((key) => request[key] !== undefined);
  if (present.length === 1) return;
  const received = present.length === 0 ? 'none' : present.join(' and ');
  const expected = `exactly one of the keys ${keys.join(', ')}`;
  throw new LodestubError({ code: 'control.request', path: String(request.do), expected, received });
}

function valueError(path: string, expected: string, value: unknown): LodestubError {
  const received = JSON.stringify(value)?.slice(0, 60) ?? 'nothing';
  return new LodestubError({ code: 'control.value', path, expected, received });
}
