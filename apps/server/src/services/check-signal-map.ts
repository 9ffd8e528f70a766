import { checkSignalMap, SIGNAL_IDS, type SignalId, type SignalMap } from '@syncline/drivelog';
import type { SignalMapDocument, VehicleProfile } from '@syncline/store';
import { problem } from '../problem-error.js';
import { blockingFinding } from './findings.js';

/** A map with every signal known. Throws `signalMap.invalid`. */
function parseSignalMap(document: SignalMapDocument): SignalMap {
  const unknown = document.signals.filter((entry) => !isSignalId(entry.signal));
  if (unknown.length > 0) {
    throw problem('signalMap.invalid', {
      findings: unknown.map(({ signal, column }) =>
        fault(column, `There is no signal '${signal}'. Known are ${SIGNAL_IDS.join(', ')}.`),
      ),
    });
  }
  return document as SignalMap;
}

/**
 * Refuses a map that no file could be read with: before any file is at hand it is checked against the columns that it
 * names itself. What a map leaves out is no fault; a log that lacks it says so.
 */
export function assertSignalMap(document: SignalMapDocument, car: VehicleProfile): void {
  const map = parseSignalMap(document);
  const names = [...new Set([map.time.column, ...map.signals.map((entry) => entry.column)])];
  const columns = names.map((name, index) => ({ index, name, label: name, unit: null }));
  const findings = checkSignalMap(map, { columns }, car)
    .filter((entry) => entry.severity === 'error')
    .map(({ column, message }) => fault(column ?? 'map', message));
  if (findings.length > 0) throw problem('signalMap.invalid', { findings });
}

function isSignalId(text: string): text is SignalId {
  return (SIGNAL_IDS as readonly string[]).includes(text);
}

const fault = (where: string, message: string) => blockingFinding('signalMap', where, message);
