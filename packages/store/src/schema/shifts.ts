import { sql } from 'drizzle-orm';
import { blob, check, index, integer, primaryKey, real, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import { revisions } from './calibrations.js';
import { logs } from './logs.js';
import { platforms } from './platforms.js';
import { vehicles } from './vehicles.js';

/**
 * What an analysis says of a shift, in columns: those of the shifts that pages show, and of the results of a run that
 * wait beside them. One list, so that the one can take the place of the other.
 */
export const foundShiftColumns = () => ({
  analysisVersion: integer('analysis_version').notNull(),
  policyVersion: integer('policy_version').notNull(),

  kind: text('kind').notNull(),
  from: integer('from_gear').notNull(),
  to: integer('to_gear').notNull(),
  endedIn: integer('ended_in_gear'),
  direction: text('direction', { enum: ['up', 'down'] }).notNull(),
  outcome: text('outcome', { enum: ['complete', 'retargeted', 'cut', 'unsynchronised'] }).notNull(),
  /** Bits of `GRADE_BITS`. */
  grades: integer('grades').notNull(),
  /** Bits of `DISTURBANCE_BITS`. */
  disturbances: integer('disturbances').notNull(),
  isSkip: integer('is_skip', { mode: 'boolean' }).notNull(),
  isPowerOn: integer('is_power_on', { mode: 'boolean' }).notNull(),
  isHunting: integer('is_hunting', { mode: 'boolean' }).notNull(),

  startIndex: integer('start_index').notNull(),
  endIndex: integer('end_index').notNull(),
  commandS: real('command_s').notNull(),
  commandSource: text('command_source', { enum: ['gearTarget', 'lastInGear'] }).notNull(),
  inertiaStartS: real('inertia_start_s'),
  flareStartS: real('flare_start_s'),
  syncS: real('sync_s'),
  ratio10S: real('ratio10_s'),
  ratio90S: real('ratio90_s'),

  program: text('program'),
  programCode: real('program_code'),
  load: real('load'),
  inputTorqueNm: real('input_torque_nm'),
  engineSpeedRpm: real('engine_speed_rpm'),
  inputSpeedRpm: real('input_speed_rpm').notNull(),
  outputSpeedRpm: real('output_speed_rpm').notNull(),
  fluidTemperatureC: real('fluid_temperature_c'),
  pedal: real('pedal'),
  applyPressureKpa: real('apply_pressure_kpa'),
  supplyVoltageV: real('supply_voltage_v'),

  flareRpm: real('flare_rpm').notNull(),
  flareMs: real('flare_ms').notNull(),
  flareRevolutions: real('flare_revolutions').notNull(),
  shiftTimeS: real('shift_time_s'),
  inertiaTimeS: real('inertia_time_s'),
  delayS: real('delay_s'),
  peakToPeakAcceleration: real('peak_to_peak_acceleration'),
  peakJerk: real('peak_jerk'),
  tieUpDepth: real('tie_up_depth'),
  tieUpImpulse: real('tie_up_impulse'),
  speedStepRpm: real('speed_step_rpm'),
  slipEnergyJ: real('slip_energy_j'),
  valveOnAfterSyncS: real('valve_on_after_sync_s'),
  actualTimeS: real('actual_time_s'),
  appliedStartKpa: real('applied_start_kpa'),
  appliedMeanKpa: real('applied_mean_kpa'),

  demandRatio: real('demand_ratio'),
  demandWeight: real('demand_weight'),
  loadBand: integer('load_band').notNull(),
  speedBand: integer('speed_band').notNull(),
  fluidTemperatureBand: integer('fluid_temperature_band').notNull(),
});

/** One wide row per shift. Platform, vehicle, revision and drive time repeat those of its log, for lists and counts. */
export const shifts = sqliteTable(
  'shifts',
  {
    id: text('id').primaryKey(),
    logId: text('log_id')
      .notNull()
      .references(() => logs.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    revisionId: text('revision_id').references(() => revisions.id),
    drivenAtMs: integer('driven_at_ms').notNull(),
    ...foundShiftColumns(),
  },
  (table) => [
    index('shifts_by_log').on(table.logId, table.grades),
    index('shifts_by_vehicle').on(table.vehicleId, table.drivenAtMs, table.id),
    index('shifts_by_revision').on(table.revisionId, table.kind),
    index('shifts_by_kind').on(table.kind, table.grades, table.load, table.platformId),
    index('shifts_by_drive').on(table.drivenAtMs, table.id),
    // Requests ask for points that have few shifts, and count what came in there.
    index('shifts_by_point').on(table.platformId, table.kind, table.loadBand, table.fluidTemperatureBand),
    index('shifts_by_flare').on(table.flareRpm, table.id),
    index('shifts_by_tie_up').on(table.tieUpDepth, table.id),
    index('shifts_by_jerk').on(table.peakJerk, table.id),
    index('shifts_by_inertia_time').on(table.inertiaTimeS, table.id),
  ],
);

/**
 * The summaries that fleet pages read: what one car did under one revision, changed in the transaction that changes its
 * shifts. An absent revision is ''. The counts over everything stand in columns, for lists and joins; what is told
 * apart by shift kind, bands and program is packed (`encodeSlice`, `encodeMeasures` of the fleet package), because a
 * thousand packed rows are read for one page where rows of single counts would be a million.
 */
export const fleetSlices = sqliteTable(
  'fleet_slices',
  {
    id: integer('id').primaryKey(),
    platformId: text('platform_id').notNull(),
    revisionId: text('revision_id').notNull(),
    vehicleId: text('vehicle_id').notNull(),
    /** From `summary_state`: never given twice, so that what was decoded can be kept as long as it stays. */
    version: integer('version').notNull(),
    shifts: integer('shifts').notNull(),
    flare: integer('flare').notNull(),
    tieUp: integer('tie_up').notNull(),
    harsh: integer('harsh').notNull(),
    slow: integer('slow').notNull(),
    incomplete: integer('incomplete').notNull(),
    clean: integer('clean').notNull(),
    flareMeasured: integer('flare_measured').notNull(),
    tieUpMeasured: integer('tie_up_measured').notNull(),
    harshMeasured: integer('harsh_measured').notNull(),
    slowMeasured: integer('slow_measured').notNull(),
    outcomes: blob('outcomes', { mode: 'buffer' }).notNull(),
    measures: blob('measures', { mode: 'buffer' }).notNull(),
  },
  (table) => [
    uniqueIndex('fleet_slices_by_place').on(table.platformId, table.revisionId, table.vehicleId),
    index('fleet_slices_by_vehicle').on(table.vehicleId),
    // Whoever asks what changed reads a few pages of it, not a page of every summary.
    index('fleet_slices_by_version').on(table.platformId, table.revisionId, table.vehicleId, table.version),
    check('fleet_slices_not_empty', sql`${table.shifts} > 0`),
  ],
);

/** The numbers that shift kinds and programs have in the packed summaries of a platform. Rows are only added. */
export const summaryNames = sqliteTable(
  'summary_names',
  {
    platformId: text('platform_id').notNull(),
    what: text('what', { enum: ['kind', 'program'] }).notNull(),
    number: integer('number').notNull(),
    name: text('name').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.platformId, table.what, table.number] }),
    uniqueIndex('summary_names_by_name').on(table.platformId, table.what, table.name),
  ],
);

/** One row: the version given last, and whether the summaries have to be counted anew when the store is opened. */
export const summaryState = sqliteTable('summary_state', {
  id: integer('id').primaryKey(),
  version: integer('version').notNull(),
  isStale: integer('is_stale', { mode: 'boolean' }).notNull(),
});
