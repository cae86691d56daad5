import { BITS_PER_BYTE } from '../base/constants.js';
import { formatQuantity } from '../base/quantity.js';
import { formatUtc } from '../base/time.js';
import { DAY_MS, dateLabelOfMs, utcOfMs } from '../base/utc-ms.js';
import type { Recording } from '../replay/recording.js';
import type { ShiftTime } from '../replay/shift-time.js';
import type { Survey } from '../replay/survey.js';
import type { Module } from './scenario.js';

/** A name, and what there is to say of it. */
export type DescribedRow = readonly [name: string, value: string];

/** What will be played of a recording, in up to seven rows. */
export function describeRecording(recording: Recording, module: Module): DescribedRow[] {
  const { file, survey, timing } = recording;
  const { isWhole, bytes } = survey;
  const part = isWhole ? '' : `; of the first ${bytes} bytes:`;
  return [
    ['recording', `${file.path}, ${file.size} bytes${part}`],
    ['', contents(survey)],
    ...oddities(survey).map((text): DescribedRow => ['', text]),
    ['times', timing === 'line' ? 'back to back at the speed of the line' : byStamps(recording)],
    ['dates', dates(recording)],
    ['line', line(recording, module)],
  ];
}

function contents({ sentences, groups, stamped, damaged }: Survey): string {
  const wrong = damaged === 0 ? '' : `, ${damaged} with a wrong checksum`;
  return `${sentences} sentences${wrong}, in ${groups} epochs, ${stamped} of them with a time`;
}

function oddities({ noiseBytes, hasBareLineFeeds }: Survey): string[] {
  return [
    ...(noiseBytes === 0
      ? []
      : [`${noiseBytes === 1 ? '1 byte belongs' : `${noiseBytes} bytes belong`} to no sentence`]),
    ...(hasBareLineFeeds ? ['lines end in LF alone, without the CR that a receiver sends'] : []),
  ];
}

function byStamps({ survey, longestGapMs }: Recording): string {
  const { intervalMs, longestGapMs: gapMs, clockSets, shortened } = survey;
  const parts = [`by the stamps, usually ${duration(intervalMs)} apart, at most ${duration(gapMs)}`];
  if (shortened > 0) parts.push(`${shortened} silences shortened to ${duration(longestGapMs)}`);
  if (clockSets > 0) parts.push(`${clockSets} times the clock was set`);
  return parts.join('; ');
}

function dates({ survey, shift }: Recording): string {
  const { firstDate } = survey;
  const from = firstDate === null ? 'none in it' : `from ${utc(firstDate.utcMs)} on`;
  const moved = shiftText(shift);
  return moved === '' ? from : `${from}, ${moved}`;
}

function shiftText(shift: ShiftTime): string {
  switch (shift.kind) {
    case 'none':
      return '';
    case 'by':
      return `moved by ${formatQuantity(shift.shiftS, 'duration')}`;
    case 'to':
      return `moved to ${utc(shift.utcMs)}`;
    case 'to-day':
      return `moved to ${dateLabelOfMs(shift.dayNumber * DAY_MS)}`;
    case 'now':
      return 'moved to the time at which it is played';
  }
}

/** How full the line is. */
function line({ survey, timing }: Recording, { name, baud }: Module): string {
  const speed = `${name}: ${baud} baud`;
  if (timing === 'line') return `${speed}, always full`;
  const bytesPerMs = baud / BITS_PER_BYTE / 1000;
  const average = survey.bytes / Math.max(1, survey.lengthMs) / bytesPerMs;
  const worst = survey.mostBytesPerMs / bytesPerMs;
  const lost = average > 1 ? ': sentences will be lost, take a higher --baud' : '';
  const late = average <= 1 && worst > 1 ? ': some epochs will be late' : '';
  return `${speed}, line about ${percent(average)} full, ${percent(worst)} in the fullest epoch${lost}${late}`;
}

function duration(ms: number): string {
  return formatQuantity(ms / 1000, 'duration');
}

function utc(utcMs: number): string {
  return formatUtc(utcOfMs(utcMs)).replace('.000Z', 'Z');
}

function percent(share: number): string {
  return `${Math.round(share * 100)} %`;
}
