-- Written by hand: what the new columns of 0009 hold for rows of before. Until now the newest policy graded everything,
-- and its regrading was one job; a run takes that up at the next start where it was not done.
-- shrinks: jobs
UPDATE `platforms` SET `policy_in_force` = coalesce(
  (SELECT max(`policies`.`version`) FROM `policies` WHERE `policies`.`platform_id` = `platforms`.`id`), 1);
--> statement-breakpoint
DELETE FROM `jobs` WHERE `kind` = 'regradePlatform';
--> statement-breakpoint
UPDATE `notes` SET `by_id` = (SELECT `people`.`id` FROM `people` WHERE `people`.`name` = `notes`.`by_name`)
WHERE (SELECT count(*) FROM `people` WHERE `people`.`name` = `notes`.`by_name`) = 1;
