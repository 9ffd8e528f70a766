import { Button, Group, Select, Text, TextInput } from '@mantine/core';
import type { Inspection, SignalMapDocument } from '@syncline/contract';
import { useState } from 'react';
import { useSaveSignalMap } from '../../api/vehicles.js';
import { SIGNAL_TERMS, type SignalTerm } from '../../format/signals.js';
import { ProblemNotice } from '../problem-notice.js';
import { parseCodes } from './codes.js';
import {
  draftFaults,
  firstValues,
  headerUnit,
  type SignalMapDraft,
  startingMap,
  TIME_FORMAT_WORDS,
  toDraft,
  toSignalMap,
  unitChoices,
  withCodes,
  withColumn,
} from './draft.js';
import { ReaderUnderstanding } from './reader-understanding.js';
import classes from './signal-map.module.css';

interface SignalMapEditorProps {
  readonly vehicleId: string;
  readonly inspection: Inspection;
  /** What is saved for the car; where there is nothing, the reader's suggestion is the start. */
  readonly saved: SignalMapDocument | null;
  readonly saveLabel: string;
  readonly onSaved?: () => void;
}

/** Says which column is which signal. Saved for the car and the format of the file: later ones need no asking. */
export function SignalMapEditor({ vehicleId, inspection, saved, saveLabel, onSaved }: SignalMapEditorProps) {
  const [draft, setDraft] = useState(() => toDraft(startingMap(saved, inspection)));
  const save = useSaveSignalMap(vehicleId, inspection.format);
  const map = toSignalMap(draft);
  const faults = draftFaults(draft);
  return (
    <div>
      <ReaderUnderstanding inspection={inspection} />
      <p className={classes.note}>
        Gears, programs and switches have codes instead of a unit: say what certain cells mean, for example that 14 is
        reverse (-1) and 13 no value. P and N are 0, R is -1, on and true are 1 without being told.
      </p>
      <table className={classes.signals}>
        <thead>
          <tr>
            <th scope="col">Signal</th>
            <th scope="col">Column of the file</th>
            <th scope="col">Unit in the file, or codes</th>
            <th scope="col">First values</th>
          </tr>
        </thead>
        <tbody>
          <TimeRow draft={draft} inspection={inspection} onChange={setDraft} />
          {SIGNAL_TERMS.map((signal) => (
            <SignalRow key={signal.id} signal={signal} draft={draft} inspection={inspection} onChange={setDraft} />
          ))}
        </tbody>
      </table>
      {save.error !== null && <ProblemNotice error={save.error} />}
      <Group mt="sm" gap="sm">
        <Button
          disabled={map === undefined}
          loading={save.isPending}
          onClick={() => map && save.mutate(map, onSaved ? { onSuccess: onSaved } : {})}
        >
          {saveLabel}
        </Button>
        <Text size="sm" c="dimmed" role="status">
          {save.isSuccess ? 'Saved. Waiting drives of this car are read again.' : faults.join(' ')}
        </Text>
      </Group>
    </div>
  );
}

interface RowProps {
  readonly draft: SignalMapDraft;
  readonly inspection: Inspection;
  readonly onChange: (draft: SignalMapDraft) => void;
}

function TimeRow({ draft, inspection, onChange }: RowProps) {
  return (
    <tr>
      <th scope="row">
        Time <span className={classes.hint}>Needed.</span>
      </th>
      <td>
        <Select
          aria-label="Column of time"
          placeholder="Choose"
          data={columnNames(inspection)}
          value={draft.timeColumn}
          onChange={(timeColumn) => onChange({ ...draft, timeColumn })}
        />
      </td>
      <td>
        <Select
          aria-label="Form of time"
          allowDeselect={false}
          data={Object.entries(TIME_FORMAT_WORDS).map(([value, label]) => ({ value, label }))}
          value={draft.timeFormat}
          onChange={(timeFormat) =>
            timeFormat && onChange({ ...draft, timeFormat: timeFormat as typeof draft.timeFormat })
          }
        />
      </td>
      <td className={classes.values}>{firstValues(inspection, draft.timeColumn).join('  ')}</td>
    </tr>
  );
}

function SignalRow({ signal, draft, inspection, onChange }: RowProps & { readonly signal: SignalTerm }) {
  const mapped = draft.columns[signal.id] ?? null;
  return (
    <tr>
      <th scope="row">
        {signal.title} <span className={classes.hint}>{signal.hint}</span>
      </th>
      <td>
        <Select
          aria-label={`Column of ${signal.title.toLowerCase()}`}
          placeholder="Not in the file"
          clearable
          data={columnNames(inspection)}
          value={mapped?.column ?? null}
          onChange={(column) => onChange(withColumn(draft, { signal, column, inspection }))}
        />
      </td>
      <td>
        {mapped !== null && signal.units.length > 1 && (
          <Select
            aria-label={`Unit of ${signal.title.toLowerCase()}`}
            allowDeselect={false}
            data={unitChoices(signal, headerUnit(inspection, mapped.column))}
            value={mapped.unit}
            onChange={(unit) =>
              unit && onChange({ ...draft, columns: { ...draft.columns, [signal.id]: { ...mapped, unit } } })
            }
          />
        )}
        {mapped !== null && signal.units.length === 1 && signal.units[0] === '' && (
          <TextInput
            aria-label={`Codes of ${signal.title.toLowerCase()}`}
            placeholder="14 = -1, 13 = none"
            value={draft.codeTexts[signal.id] ?? ''}
            error={parseCodes(draft.codeTexts[signal.id] ?? '') === undefined}
            onChange={(event) => onChange(withCodes(draft, signal.id, event.currentTarget.value))}
          />
        )}
      </td>
      <td className={classes.values}>{firstValues(inspection, mapped?.column ?? null).join('  ')}</td>
    </tr>
  );
}

function columnNames(inspection: Inspection): string[] {
  return [...new Set(inspection.columns.map((column) => column.name))];
}
