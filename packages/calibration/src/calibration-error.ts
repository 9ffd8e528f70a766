/** What a caller may tell apart; the message says which table, rule or coordinate is meant. */
export type CalibrationErrorCode =
  | 'unknownRule'
  | 'unknownTable'
  | 'unknownSchedule'
  | 'missingTable'
  | 'missingVariant'
  | 'missingCoordinate'
  | 'wrongShape'
  | 'otherLayout'
  | 'gradientUndefined'
  | 'notCanonical'
  | 'badEdit'
  | 'badBlock'
  | 'unknownRevision'
  | 'mergeUnresolved'
  | 'mergeChoice'
  | 'migrationBlocked'
  | 'noImage'
  | 'notStorable';

/** Thrown when a calibration is asked something that it has no answer to. Faults of content are findings, not errors. */
export class CalibrationError extends Error {
  readonly code: CalibrationErrorCode;

  constructor(code: CalibrationErrorCode, message: string) {
    super(message);
    this.name = 'CalibrationError';
    this.code = code;
  }
}
