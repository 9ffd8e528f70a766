-- Written by hand: drizzle-kit does not know triggers. Evidence is counted wherever shifts change, whoever changes them; a proposal that was made stays as it was made.
CREATE TRIGGER `vehicle_evidence_on_insert` AFTER INSERT ON `shifts` WHEN NEW.`revision_id` IS NOT NULL
BEGIN
  INSERT INTO `vehicle_evidence` (`vehicle_id`, `revision_id`, `version`) VALUES (NEW.`vehicle_id`, NEW.`revision_id`, 1)
  ON CONFLICT DO UPDATE SET `version` = `version` + 1;
END;
--> statement-breakpoint
CREATE TRIGGER `vehicle_evidence_on_delete` AFTER DELETE ON `shifts` WHEN OLD.`revision_id` IS NOT NULL
BEGIN
  INSERT INTO `vehicle_evidence` (`vehicle_id`, `revision_id`, `version`) VALUES (OLD.`vehicle_id`, OLD.`revision_id`, 1)
  ON CONFLICT DO UPDATE SET `version` = `version` + 1;
END;
--> statement-breakpoint
CREATE TRIGGER `vehicle_evidence_on_update_from` AFTER UPDATE ON `shifts` WHEN OLD.`revision_id` IS NOT NULL
BEGIN
  INSERT INTO `vehicle_evidence` (`vehicle_id`, `revision_id`, `version`) VALUES (OLD.`vehicle_id`, OLD.`revision_id`, 1)
  ON CONFLICT DO UPDATE SET `version` = `version` + 1;
END;
--> statement-breakpoint
CREATE TRIGGER `vehicle_evidence_on_update_to` AFTER UPDATE OF `revision_id`, `vehicle_id` ON `shifts` WHEN NEW.`revision_id` IS NOT NULL
BEGIN
  INSERT INTO `vehicle_evidence` (`vehicle_id`, `revision_id`, `version`) VALUES (NEW.`vehicle_id`, NEW.`revision_id`, 1)
  ON CONFLICT DO UPDATE SET `version` = `version` + 1;
END;
--> statement-breakpoint
INSERT INTO `vehicle_evidence` (`vehicle_id`, `revision_id`, `version`)
SELECT `vehicle_id`, `revision_id`, count(*) FROM `shifts` WHERE `revision_id` IS NOT NULL GROUP BY `vehicle_id`, `revision_id`;
--> statement-breakpoint
CREATE TRIGGER `proposals_no_update_once_made` BEFORE UPDATE ON `proposals` WHEN OLD.`state` = 'ready'
BEGIN
  SELECT RAISE(ABORT, 'A proposal is never changed once it is made');
END;
--> statement-breakpoint
CREATE TRIGGER `proposals_no_update_of_inputs` BEFORE UPDATE OF
  `id`, `calibration_id`, `base_revision_id`, `subject`, `policy`, `inputs`, `input_hash`, `requested_at_ms`, `requested_by_name`
ON `proposals`
BEGIN
  SELECT RAISE(ABORT, 'What a proposal is made of is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `proposals_no_delete` BEFORE DELETE ON `proposals`
BEGIN
  SELECT RAISE(ABORT, 'A proposal is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `proposal_decisions_no_update` BEFORE UPDATE ON `proposal_decisions`
BEGIN
  SELECT RAISE(ABORT, 'A decision on a proposal is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `proposal_decisions_no_delete` BEFORE DELETE ON `proposal_decisions`
BEGIN
  SELECT RAISE(ABORT, 'A decision on a proposal is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `adaptations_no_update` BEFORE UPDATE ON `adaptations`
BEGIN
  SELECT RAISE(ABORT, 'What was read out of a control unit is never changed');
END;
