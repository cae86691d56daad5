import type { JSX } from 'preact';
import { Drawing, px, WIDTH_PX } from './drawing.js';

/** A satellite where it stands in the sky. */
export interface SkySatelliteMark {
  /** `G05`. */
  readonly name: string;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  /** Null: none is told. */
  readonly cn0DbHz: number | null;
  readonly isUsed: boolean;
}

const MIDDLE_X = WIDTH_PX / 2;
const MIDDLE_Y = 196;
const RADIUS_PX = 168;
/** Lower ends of the classes of C/N0 that have colours of their own, dB-Hz. */
const CLASSES_DBHZ = [0, 25, 32, 38, 45];

function classOf(cn0DbHz: number | null): number | null {
  if (cn0DbHz === null || !Number.isFinite(cn0DbHz)) return null;
  return Math.max(
    0,
    CLASSES_DBHZ.findLastIndex((from) => cn0DbHz >= from),
  );
}

function nameOf(index: number): string {
  if (index === 0) return `below ${CLASSES_DBHZ[1]}`;
  const to = CLASSES_DBHZ[index + 1];
  return to === undefined ? `${CLASSES_DBHZ[index]} and more` : `${CLASSES_DBHZ[index]} to ${to}`;
}

/** The sky from below, zenith in the middle, north up, east to the right; C/N0 by colour and size. */
export function SkyPlot(props: {
  readonly title: string;
  readonly satellites: readonly SkySatelliteMark[];
}): JSX.Element {
  const shown = props.satellites.filter(
    ({ azimuthDeg, elevationDeg }) => Number.isFinite(azimuthDeg) && elevationDeg >= 0 && elevationDeg <= 90,
  );
  const marks = shown.map((satellite) => ({ satellite, ...placeOf(satellite.azimuthDeg, satellite.elevationDeg) }));
  const used = shown.filter(({ isUsed }) => isUsed).length;
  return (
    <Drawing
      title={props.title}
      description={`${shown.length} satellites by azimuth and elevation, deg, ${used} of them used for the position.`}
      heightPx={MIDDLE_Y + RADIUS_PX + 62}
    >
      <circle class="sky" cx={MIDDLE_X} cy={MIDDLE_Y} r={RADIUS_PX} />
      {[30, 60].map((elevationDeg) => (
        <circle class="grid" cx={MIDDLE_X} cy={MIDDLE_Y} r={px(RADIUS_PX * (1 - elevationDeg / 90))} />
      ))}
      <path
        class="grid"
        d={`M${MIDDLE_X - RADIUS_PX} ${MIDDLE_Y}h${2 * RADIUS_PX}M${MIDDLE_X} ${MIDDLE_Y - RADIUS_PX}v${2 * RADIUS_PX}`}
      />
      <g class="axis">
        {[0, 45, 90, 135, 180, 225, 270, 315].map((azimuthDeg) => {
          const { x, y } = placeOf(azimuthDeg, -8);
          const names: Readonly<Record<number, string>> = { 0: 'N', 90: 'E', 180: 'S', 270: 'W' };
          return (
            <text x={px(x)} y={px(y + 4)} text-anchor="middle">
              {names[azimuthDeg] ?? `${azimuthDeg}°`}
            </text>
          );
        })}
        {[30, 60].map((elevationDeg) => (
          <text x={MIDDLE_X + 4} y={px(MIDDLE_Y - RADIUS_PX * (1 - elevationDeg / 90) - 3)}>
            {`${elevationDeg}°`}
          </text>
        ))}
      </g>
      {marks.map(({ satellite, x, y }) => (
        <circle
          class={`satellite cn0-${classOf(satellite.cn0DbHz) ?? 'none'}${satellite.isUsed ? ' used' : ''}`}
          cx={px(x)}
          cy={px(y)}
          r={radiusOf(satellite.cn0DbHz)}
        >
          <title>{titleOf(satellite)}</title>
        </circle>
      ))}
      {marks.map(({ satellite, x, y }) => (
        <text class="halo" x={px(x)} y={px(y - radiusOf(satellite.cn0DbHz) - 3)} text-anchor="middle">
          {satellite.name}
        </text>
      ))}
      <SkyLegend y={MIDDLE_Y + RADIUS_PX + 36} />
    </Drawing>
  );
}

function placeOf(azimuthDeg: number, elevationDeg: number): { x: number; y: number } {
  const azimuthRad = (azimuthDeg * Math.PI) / 180;
  const distance = RADIUS_PX * (1 - elevationDeg / 90);
  return { x: MIDDLE_X + distance * Math.sin(azimuthRad), y: MIDDLE_Y - distance * Math.cos(azimuthRad) };
}

function radiusOf(cn0DbHz: number | null): number {
  return 4 + 1.4 * (classOf(cn0DbHz) ?? 0);
}

function titleOf({ name, elevationDeg, azimuthDeg, cn0DbHz, isUsed }: SkySatelliteMark): string {
  const heard = cn0DbHz === null ? 'no C/N0' : `${Math.round(cn0DbHz)} dB-Hz`;
  const place = `elevation ${Math.round(elevationDeg)}°, azimuth ${Math.round(azimuthDeg)}°`;
  return `${name}: ${place}, ${heard}${isUsed ? ', used' : ''}`;
}

/** Two rows: the classes of C/N0, and what an outline means. */
function SkyLegend({ y }: { readonly y: number }): JSX.Element {
  const step = 90;
  return (
    <g>
      {CLASSES_DBHZ.map((from, index) => (
        <g>
          <circle class={`satellite cn0-${index}`} cx={12 + index * step} cy={y} r={radiusOf(from)} />
          <text x={27 + index * step} y={y + 4}>
            {nameOf(index)}
          </text>
        </g>
      ))}
      <circle class="satellite cn0-none" cx="12" cy={y + 20} r="4" />
      <text x="24" y={y + 24}>
        C/N0 in dB-Hz; dashed: none told; thick outline: used
      </text>
    </g>
  );
}
