import {
  CalibrationError,
  compileRule,
  evaluateRule,
  type Layout,
  type OperatingPoint,
  type Platform,
  type Rule,
} from '@syncline/calibration';
import { problem } from '../problem-error.js';
import type { ContentService } from './contents.js';

/** What is asked beside load and input speed. */
export interface CommandedQuery {
  readonly rule: string;
  readonly shift?: string;
  readonly program?: string;
  readonly fluidTemperature: number;
}

/** Where a map is asked when none of the rule's tables has break points of its own (%; rpm). */
const DEFAULT_LOADS = [0, 20, 40, 60, 80, 100];
const DEFAULT_INPUT_SPEEDS = [800, 1500, 2200, 3000, 4000, 5000];

export type CommandedService = ReturnType<typeof createCommandedService>;

/** The quantity that a rule commands with the tables of a revision or a draft (see `ContentService` for references). */
export function createCommandedService(contents: ContentService) {
  return {
    /** Over load × input speed, at the break points of the rule's own tables. */
    map(reference: string, query: CommandedQuery) {
      const { layout, content, platform } = contents.open(reference);
      return answerOrRefuse(() => {
        const rule = getRule(layout, query.rule);
        const load = breakpointsOf(layout, rule, 'load') ?? DEFAULT_LOADS;
        const inputSpeed = breakpointsOf(layout, rule, 'inputSpeed') ?? DEFAULT_INPUT_SPEEDS;
        const commanded = compileRule(layout, content, rule.id, pointOf(query, platform));
        const values = load.flatMap((loadAt) => inputSpeed.map((speed) => commanded(drivenAt(loadAt, speed))));
        return {
          unit: rule.unit,
          title: rule.title,
          load: [...load],
          inputSpeed: [...inputSpeed],
          values,
        };
      });
    },

    /** At one operating point, with each table's share. */
    point(reference: string, query: CommandedQuery & { readonly load: number; readonly inputSpeed: number }) {
      const { layout, content, platform } = contents.open(reference);
      return answerOrRefuse(() => {
        const point = { ...pointOf(query, platform), ...drivenAt(query.load, query.inputSpeed) };
        const { value, unit, shares } = evaluateRule(layout, content, query.rule, point);
        return {
          value,
          unit,
          shares: shares.map((share) => {
            const spec = layout.tables.find((table) => table.id === share.tableId);
            return { ...share, title: spec?.title ?? share.tableId, unit: spec?.unit ?? '' };
          }),
        };
      });
    },
  };
}

/** The part of a point that a map moves over. Engine speed is that of a locked converter, which turns with the input. */
function drivenAt(load: number, inputSpeed: number): OperatingPoint {
  return { load, inputSpeed, engineSpeed: inputSpeed };
}

function pointOf(query: CommandedQuery, platform: Platform): OperatingPoint {
  const gear = query.shift === undefined ? undefined : Number(query.shift.split('-')[1]);
  return {
    shift: query.shift,
    gear: platform.gears.find((entry) => entry.gear === gear)?.gear,
    program: query.program,
    fluidTemperature: query.fluidTemperature,
  };
}

function getRule(layout: Layout, ruleId: string): Rule {
  const rule = layout.rules.find((entry) => entry.id === ruleId);
  if (rule) return rule;
  const known = layout.rules.map((entry) => entry.id).join(', ');
  throw problem('request.invalid', { detail: `The layout has no rule '${ruleId}'; its rules: ${known}.` });
}

function breakpointsOf(layout: Layout, rule: Rule, quantity: 'load' | 'inputSpeed'): readonly number[] | undefined {
  return layout.tables
    .filter((table) => rule.tables.includes(table.id))
    .flatMap((table) => table.axes)
    .find((axis) => axis.quantity === quantity)?.breakpoints;
}

/** A rule that cannot answer says what the question lacks. */
function answerOrRefuse<T>(answer: () => T): T {
  try {
    return answer();
  } catch (error) {
    if (!(error instanceof CalibrationError)) throw error;
    throw problem('request.invalid', { detail: error.message, cause: error });
  }
}
