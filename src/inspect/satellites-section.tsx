import type { JSX } from 'preact';
import type { Tone } from '../report/drawing.js';
import { count, decimal, NOTHING, share, withUnit } from '../report/figures.js';
import { PointsPlot } from '../report/points-plot.js';
import { SkyPlot } from '../report/sky-plot.js';
import { Facts, Table } from '../report/table.js';
import { TimePlot } from '../report/time-plot.js';
import { Verdict } from '../report/verdict.js';
import type { AntennaPart, AntennaSignal, SatellitesPart, Spread } from './inspect-report.js';

const TONES: readonly Tone[] = ['module', 'host', 'fourth', 'fifth', 'sixth', 'truth'];

/** Satellites in view and used, the last sky, and how strong they were against what a good antenna hears. */
export function SatellitesSection(props: {
  readonly satellites: SatellitesPart;
  readonly antenna: AntennaPart;
}): JSX.Element {
  const { satellites, antenna } = props;
  const { lastSky } = satellites;
  const drawn = antenna.signals.filter(({ bins }) => bins.length > 0).slice(0, TONES.length);
  return (
    <>
      <h2>Satellites and antenna</h2>
      <Facts
        facts={[
          ['used', spread(satellites.used, 0)],
          ['in view', spread(satellites.inView, 0)],
          ['HDOP', spread(satellites.hdop, 2)],
          ['listed without C/N0, above 10°', share(antenna.blankShare)],
        ]}
      />
      {satellites.systems.length > 0 && (
        <Table
          columns={[
            { head: 'system' },
            { head: 'talkers' },
            { head: 'listed', isFigure: true },
            { head: 'heard', isFigure: true },
            { head: 'used', isFigure: true },
          ]}
          rows={satellites.systems.map((row) => [
            row.system,
            row.talkers.join(' '),
            count(row.listed),
            count(row.heard),
            count(row.used),
          ])}
        />
      )}
      {antenna.signals.length > 0 && <Signals signals={antenna.signals} />}
      <div class="drawings">
        {drawn.length > 0 && (
          <PointsPlot
            title="C/N0 over elevation"
            xLabel="elevation (°)"
            yLabel="C/N0 (dB-Hz): median, 10 to 90 %"
            series={drawn.map((signal, index) => ({
              label: nameOf(signal),
              tone: TONES[index] as Tone,
              points: signal.bins.map((bin) => ({
                x: (bin.fromDeg + bin.toDeg) / 2,
                y: bin.medianDbHz,
                low: bin.p10DbHz,
                high: bin.p90DbHz,
              })),
            }))}
            curve={{
              label: 'expected of a good antenna, GPS L1',
              points: antenna.expected.map(({ elevationDeg, cn0DbHz }) => ({ x: elevationDeg, y: cn0DbHz })),
            }}
            xSpan={[0, 90]}
            ySpan={[20, 55]}
          />
        )}
        {lastSky !== null && (
          <SkyPlot
            title={lastSky.at === null ? 'The last sky' : `The last sky, ${lastSky.at}`}
            satellites={lastSky.satellites.flatMap(({ talker, id, elevationDeg, azimuthDeg, cn0DbHz, isUsed }) =>
              elevationDeg === null || azimuthDeg === null
                ? []
                : [{ name: `${talker}${id}`, elevationDeg, azimuthDeg, cn0DbHz, isUsed }],
            )}
          />
        )}
        {antenna.overTime.length > 0 && (
          <TimePlot
            title="C/N0 over time, all above 10°"
            valueLabel="median C/N0 (dB-Hz)"
            series={[
              {
                label: 'median',
                tone: 'module',
                points: antenna.overTime.map(({ tS, medianDbHz }) => ({ tS, value: medianDbHz })),
              },
            ]}
            leastSpan={15}
          />
        )}
      </div>
    </>
  );
}

function Signals({ signals }: { readonly signals: readonly AntennaSignal[] }): JSX.Element {
  return (
    <Table
      columns={[
        { head: 'antenna' },
        { head: 'signal' },
        { head: 'values', isFigure: true },
        { head: 'against the expected, above 10°', isFigure: true },
      ]}
      rows={signals.map((signal) => [
        <Verdict verdict={signal.verdict} />,
        nameOf(signal),
        count(signal.count),
        withUnit(signal.medianDeviationDb, 1, 'dB'),
      ])}
    />
  );
}

function nameOf({ system, signal }: AntennaSignal): string {
  return signal === null ? system : `${system}, signal ${signal}`;
}

/** Least, median, greatest. */
function spread(values: Spread | null, digits: number): string {
  if (values === null) return NOTHING;
  const { least, median, greatest } = values;
  return `${decimal(median, digits)} (${decimal(least, digits)} to ${decimal(greatest, digits)})`;
}
