import type { LogResponse, ShiftRow } from '@syncline/contract';
import type { ReactNode } from 'react';
import { formatElapsed } from '../../format/time.js';
import { DISTURBANCE_WORDS } from '../../format/words.js';
import { Caution } from '../../parts/caution.js';
import { Value } from '../../parts/value.js';
import classes from './log.module.css';

interface Row {
  readonly word: string;
  readonly value: ReactNode;
}

const OUTCOME_WORDS: Record<ShiftRow['outcome'], string> = {
  complete: 'synchronised',
  retargeted: 'changed its target on the way',
  cut: 'cut by a gap or the end of the log',
  unsynchronised: 'never synchronised',
};

interface ShiftMeasuresProps {
  readonly log: LogResponse;
  readonly shift: ShiftRow;
  /** From the grading policy; undefined while it is on its way. */
  readonly valveOnLimitS: number | undefined;
}

/** Measures of one shift, the conditions it was made under, and where every figure comes from. */
export function ShiftMeasures({ log, shift, valveOnLimitS }: ShiftMeasuresProps) {
  const { valveOnAfterSyncS } = shift;
  const isValveHeldOn = valveOnAfterSyncS !== null && valveOnLimitS !== undefined && valveOnAfterSyncS > valveOnLimitS;
  return (
    <div className={classes.measures}>
      {isValveHeldOn && (
        <Caution title="Valve held on">
          The shift valve stayed energised for <Value value={valveOnAfterSyncS} unit="s" /> after the ratio was reached,
          longer than the <Value value={valveOnLimitS} unit="s" /> of the policy: heat for nothing.
        </Caution>
      )}
      <Facts title="Measures" rows={measureRows(shift)} />
      <Facts title="Conditions at the command" rows={conditionRows(shift)} />
      <Facts title="Where this comes from" rows={sourceRows(log, shift)} />
    </div>
  );
}

function Facts({ title, rows }: { readonly title: string; readonly rows: readonly Row[] }) {
  return (
    <div>
      <h3 className={classes.factsTitle}>{title}</h3>
      <dl className={classes.facts}>
        {rows.map(({ word, value }) => (
          <div key={word}>
            <dt>{word}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </div>
  );
}

function measureRows(shift: ShiftRow): Row[] {
  return [
    { word: 'Flare', value: <Value value={shift.flareRpm} unit="rpm" /> },
    { word: 'Flare time', value: <Value value={shift.flareMs} unit="ms" /> },
    { word: 'Flare area', value: <Value value={shift.flareRevolutions} unit="rev" /> },
    { word: 'Tie-up depth', value: <Value value={shift.tieUpDepth} unit="m/s²" /> },
    { word: 'Tie-up impulse', value: <Value value={shift.tieUpImpulse} unit="m/s" /> },
    { word: 'Delay', value: <Value value={shift.delayS} unit="s" /> },
    { word: 'Inertia time', value: <Value value={shift.inertiaTimeS} unit="s" /> },
    { word: 'Shift time', value: <Value value={shift.shiftTimeS} unit="s" /> },
    { word: 'Peak jerk', value: <Value value={shift.peakJerk} unit="m/s³" /> },
    { word: 'Acceleration, peak to peak', value: <Value value={shift.peakToPeakAcceleration} unit="m/s²" /> },
    { word: 'Clutch slip energy', value: <Value value={shift.slipEnergyJ} unit="J" /> },
    { word: 'Valve on after sync', value: <Value value={shift.valveOnAfterSyncS} unit="s" /> },
    { word: 'Demand ratio', value: <Value value={shift.demandRatio} unit="" digits={3} /> },
  ];
}

function conditionRows(shift: ShiftRow): Row[] {
  return [
    { word: 'Load', value: <Value value={shift.load} unit="%" /> },
    { word: 'Input torque', value: <Value value={shift.inputTorqueNm} unit="N·m" /> },
    { word: 'Input speed', value: <Value value={shift.inputSpeedRpm} unit="rpm" /> },
    { word: 'Fluid temperature', value: <Value value={shift.fluidTemperatureC} unit="°C" /> },
    { word: 'Pedal', value: <Value value={shift.pedal} unit="%" /> },
    { word: 'Program', value: shift.program ?? '–' },
    { word: 'Apply pressure', value: <Value value={shift.applyPressureKpa} unit="kPa" /> },
    { word: 'Power', value: shift.isPowerOn ? 'on' : 'off' },
  ];
}

function sourceRows(log: LogResponse, shift: ShiftRow): Row[] {
  const disturbed = shift.disturbances.map((word) => DISTURBANCE_WORDS[word] ?? word);
  return [
    { word: 'Ended', value: OUTCOME_WORDS[shift.outcome] },
    { word: 'Hunting', value: shift.isHunting ? 'yes: undone within 3 s' : 'no' },
    { word: 'Disturbed by', value: disturbed.length === 0 ? 'nothing found' : disturbed.join(', ') },
    {
      word: 'Command',
      value: `${formatElapsed(shift.commandS)}, ${shift.commandSource === 'gearTarget' ? 'logged target' : 'last in old gear'}`,
    },
    { word: 'Samples', value: `${shift.startIndex} to ${shift.endIndex - 1}` },
    { word: 'File', value: log.sha256.slice(0, 12) },
    { word: 'Analysis, policy', value: `version ${shift.analysisVersion}, version ${shift.policyVersion}` },
  ];
}
