import type { createControlUnitRequest, updateControlUnitRequest } from '@syncline/contract';
import type {
  AffectedUnit,
  ControlUnit,
  ControlUnitEvent,
  NewNotice,
  Store,
  UnitMake,
  UnitRecall,
  UnitWait,
} from '@syncline/store';
import type { z } from 'zod';
import { notFound } from '../../problem-error.js';
import { type Actor, scopeOf } from '../actor.js';
import { MAPS_CAUTION } from '../releases/tell.js';

export interface DetailedUnit extends ControlUnit {
  /** Newest first. */
  readonly events: readonly ControlUnitEvent[];
}

export type ControlUnitService = ReturnType<typeof createControlUnitService>;

/** Control units as things: where each is, what it says of itself, and whom a fault of some of them concerns. */
export function createControlUnitService(
  store: Store,
  options: { readonly isMailSetUp: boolean; readonly publicUrl: string | undefined; readonly nudgeOutbox: () => void },
) {
  const { read, controlUnits, notices } = store;

  function get(actor: Actor, unitId: string): DetailedUnit {
    const unit = read.controlUnits.find(scopeOf(actor), unitId);
    if (!unit) throw notFound('control unit');
    return { ...unit, events: read.controlUnits.events(unitId) };
  }

  /** One mail to each person, with all of her units. */
  function mailsOf(recallId: string, words: string, affected: readonly AffectedUnit[]): NewNotice[] {
    const byEmail = new Map<string, AffectedUnit[]>();
    for (const unit of affected) {
      if (unit.personEmail === '') continue;
      byEmail.set(unit.personEmail, [...(byEmail.get(unit.personEmail) ?? []), unit]);
    }
    const page = options.publicUrl === undefined ? '' : `\nYour units: ${options.publicUrl}/control-units\n`;
    return [...byEmail].map(([recipient, units]) => {
      const list = units.map(({ serial, vehicleTitle }) => `- ${serial}${vehicleTitle ? `, in ${vehicleTitle}` : ''}`);
      return {
        channel: 'mail',
        recipient,
        about: `unitRecall:${recallId}`,
        subject: `Control unit ${units.map(({ serial }) => serial).join(', ')}: recall`,
        body: `${units[0].personName},\n\n${words}\n\nIt is about:\n${list.join('\n')}\n${page}\n${MAPS_CAUTION}\n`,
      };
    });
  }

  return {
    get,

    list: (actor: Actor): readonly ControlUnit[] => read.controlUnits.list(scopeOf(actor)),

    enter(actor: Actor, input: z.output<typeof createControlUnitRequest>): DetailedUnit {
      return get(actor, controlUnits.enter({ actor, ...input }));
    },

    update(actor: Actor, unitId: string, input: z.output<typeof updateControlUnitRequest>): DetailedUnit {
      const { note, ...change } = input;
      controlUnits.change({ actor, unitId, change, note });
      return get(actor, unitId);
    },

    /** What a unit says of itself, told by whoever has it. */
    reportFirmware(
      actor: Actor,
      unitId: string,
      input: { readonly firmware: string; readonly layoutVersion?: number | null; readonly note: string },
    ): DetailedUnit {
      get(actor, unitId);
      const { note, ...change } = input;
      controlUnits.change({ actor, unitId, change, note });
      return get(actor, unitId);
    },

    affected: (make: UnitMake): readonly AffectedUnit[] => read.controlUnits.affected(make),

    listRecalls: (): readonly (UnitRecall & { readonly units: number })[] =>
      read.controlUnits.recalls().map((recall) => ({ ...recall, units: read.controlUnits.affected(recall).length })),

    /** Finds the people of such units and tells them: at their cars, and by mail and hooks where those are set up. */
    recall(actor: Actor, make: UnitMake, words: string): UnitRecall & { readonly units: number } {
      return store.transaction(() => {
        const affected = read.controlUnits.affected(make);
        const id = controlUnits.recall({ actor, make, words });
        const about = `unitRecall:${id}`;
        const body = JSON.stringify({ event: 'unit.recall', recall: { id, ...make, words, units: affected.length } });
        notices.queue([
          ...(options.isMailSetUp ? mailsOf(id, words, affected) : []),
          ...read.notices.hooks().map((hook): NewNotice => {
            return { channel: 'hook', recipient: hook.id, about, subject: 'unit.recall', body };
          }),
        ]);
        options.nudgeOutbox();
        const recall = read.controlUnits.recalls().find((made) => made.id === id);
        if (!recall) throw new Error('a recall has no row after it was made');
        return { ...recall, units: affected.length };
      });
    },

    queue: (): readonly UnitWait[] => read.controlUnits.waits(),

    setWait: (actor: Actor, applicationId: string, waits: boolean): void =>
      controlUnits.setWait({ actor, applicationId, waits }),
  };
}
