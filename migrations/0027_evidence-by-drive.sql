-- Written by hand: drizzle-kit does not know triggers. Triggers counted a change for each shift of a drive, at a third of what inserting it costs; whoever changes shifts counts it once (count-evidence.ts).
DROP TRIGGER `vehicle_evidence_on_insert`;
--> statement-breakpoint
DROP TRIGGER `vehicle_evidence_on_delete`;
--> statement-breakpoint
DROP TRIGGER `vehicle_evidence_on_update_from`;
--> statement-breakpoint
DROP TRIGGER `vehicle_evidence_on_update_to`;
