import { openReadOnly } from '@syncline/store';
import {
  type FleetQueryAnswer,
  type FleetQueryInput,
  type FleetQueryName,
  fleetAnswers,
} from '../services/fleet-queries/queries.js';

export interface FleetQueryTask<Name extends FleetQueryName = FleetQueryName> {
  readonly folder: string;
  readonly name: Name;
  readonly input: FleetQueryInput<Name>;
}

type Answers = ReturnType<typeof fleetAnswers>;
let opened: { readonly folder: string; readonly answers: Answers } | undefined;

/** Answers one question. Entry point of the thread; its connection stays open as long as the thread lives. */
export default function answer<Name extends FleetQueryName>(task: FleetQueryTask<Name>): FleetQueryAnswer<Name> {
  const { folder, name, input } = task;
  if (opened?.folder !== folder) {
    opened = { folder, answers: fleetAnswers(openReadOnly({ folder, clock: Date.now }).read) };
  }
  return opened.answers(name, input);
}
