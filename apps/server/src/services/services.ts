import type { Store } from '@syncline/store';
import { createCalibrationService } from './calibrations.js';
import { createCommandedService } from './commanded.js';
import { createComparisonService } from './comparisons.js';
import { createEvidenceService } from './evidence.js';
import { createFleetService } from './fleet.js';
import { createLogService } from './logs.js';
import type { Passwords } from './passwords.js';
import { createPeopleService } from './people.js';
import { createPlatformService } from './platforms.js';
import { createShiftService } from './shifts.js';
import { createSignalService } from './signals.js';
import { createUploadService } from './uploads.js';
import { createVehicleService } from './vehicles.js';

/** Every use case of the product, over one store. */
export function createServices(options: {
  readonly store: Store;
  readonly clock: () => number;
  readonly passwords: Passwords;
  readonly maxLogBytes: number;
  readonly nudgeJobs: () => void;
}) {
  const { store, clock, passwords, maxLogBytes, nudgeJobs } = options;
  const platforms = createPlatformService(store, nudgeJobs);
  const calibrations = createCalibrationService(store);
  const logs = createLogService(store, nudgeJobs);
  return {
    people: createPeopleService(store, clock, passwords),
    platforms,
    calibrations,
    commanded: createCommandedService(calibrations),
    comparisons: createComparisonService(store, calibrations),
    evidence: createEvidenceService(store, calibrations),
    vehicles: createVehicleService(store, clock, nudgeJobs),
    uploads: createUploadService(store, { maxLogBytes, clock, nudgeJobs }),
    logs,
    signals: createSignalService(store, logs),
    shifts: createShiftService(store),
    fleet: createFleetService(store, platforms),
  };
}
