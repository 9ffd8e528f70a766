import type { Confidence } from './confidence.js';
import type { SignalId } from './signals.js';

interface WordRule {
  readonly pattern: RegExp;
  readonly confidence: Confidence;
  /** The usual unit when the header states none and it is not the canonical one. */
  readonly unit?: string;
  readonly note?: string;
}

interface SignalWords {
  readonly signal: SignalId;
  /** Words that rule the signal out. */
  readonly never?: RegExp;
  /** Best first. */
  readonly words: readonly WordRule[];
}

function sure(pattern: RegExp): WordRule {
  return { pattern, confidence: 'high' };
}

function likely(pattern: RegExp, unit?: string, note?: string): WordRule {
  return { pattern, confidence: 'medium', ...(unit && { unit }), ...(note && { note }) };
}

function perhaps(pattern: RegExp, unit?: string, note?: string): WordRule {
  return { pattern, confidence: 'low', ...(unit && { unit }), ...(note && { note }) };
}

const NOT_A_VALUE = /\b(valid|validity|status|fault|error|avail|available|present|source|min|max|limit|count|crc)\b/;

/**
 * Words by which logs name the signals, matched against `headerWords`: generic terms of the trade in English and
 * German and their usual abbreviations.
 */
export const SIGNAL_WORDS: readonly SignalWords[] = [
  {
    signal: 'engineSpeed',
    never: new RegExp(`${NOT_A_VALUE.source}|target|desired|soll|idle|turbin|torque|temp`),
    words: [
      sure(/\b(engine|motor|crank(shaft)?) ?(speed|spd|rpm|n)\b|\bmotordrehzahl\b|\bn ?(mot|eng|engine|motor)\b/),
      likely(/\b(eng ?(spd|speed|rpm)|ne|nmot|n ?e|kurbelwellendrehzahl)\b/),
      perhaps(/^(rpm|revs|engine|motor|drehzahl)$/),
    ],
  },
  {
    signal: 'inputSpeed',
    never: new RegExp(`${NOT_A_VALUE.source}|target|desired|soll|torque|temp`),
    words: [
      sure(/\bturbine?n?(n?wellen)?(drehzahl)?( shaft)?( speed| spd| rpm| n)?\b/),
      sure(
        /\b(input|in)( shaft)? (speed|spd|rpm)\b|\b(getriebe)?(eingangs|antriebs)(wellen)?drehzahl\b|\bn ?(in|turb|turbine|input)\b/,
      ),
      likely(/\b(nt|n ?t|iss|tss|input ?shaft|eingangswelle|antriebswelle)\b/),
    ],
  },
  {
    signal: 'outputSpeed',
    never: new RegExp(`${NOT_A_VALUE.source}|target|desired|soll|cruise|torque|temp|gps|steer|angle|slip`),
    words: [
      sure(
        /\b(output|out)( shaft)? (speed|spd|rpm)\b|\b(getriebe)?(ausgangs|abtriebs)(wellen)?drehzahl\b|\bn ?(out|ab|output|abtrieb)\b/,
      ),
      likely(/\b(no|oss|output ?shaft|abtriebswelle|ausgangswelle|cardan|kardan(welle)?|propshaft|prop shaft)\b/),
      likely(
        /\bwheel( speed)? (mean|avg|average)\b|\b(mean|average|avg)( driven)? wheel( speed)?\b|\bdriven wheel/,
        'km/h',
        'road speed at the wheels',
      ),
      likely(/\bwheel( speed)?\b|\braddrehzahl\b|\bradgeschwindigkeit\b/, 'km/h', 'road speed at a wheel'),
      likely(
        /\b(vehicle|road|car)( average)? (speed|spd)\b|\bfahrzeuggeschwindigkeit\b|\bgeschwindigkeit\b|\b(vss|vspd|v ?fzg|vveh)\b/,
        'km/h',
        'road speed',
      ),
      perhaps(/^(speed|v|kmh|kph|mph|tacho)$/, 'km/h', 'taken for road speed'),
    ],
  },
  {
    signal: 'gearTarget',
    never: new RegExp(`${NOT_A_VALUE.source}|direction|ratio|lever|selector|torque|time|skip`),
    words: [
      sure(/\b(target|commanded|command|cmd|desired|set) ?gear\b|\bgear (target|commanded|command|cmd|desired|set)\b/),
      sure(/\b(demanded|requested|request|req) gear\b|\bgear (demanded|requested|request|req)\b/),
      sure(/\b(ziel|soll|wunsch)gang\b|\bgang (ziel|soll|wunsch)\b/),
    ],
  },
  {
    signal: 'gear',
    never: new RegExp(
      `${NOT_A_VALUE.source}|direction|ratio|lever|selector|torque|time|skip|box|oil|shift|temp|target|command|cmd|desired|request|req|soll|ziel|wunsch`,
    ),
    words: [
      sure(
        /\b(actual|current|engaged|estimated|present|act) gear\b|\bgear (actual|current|engaged|estimated|act|ist)\b|\bist ?gang\b|\bgang ist\b/,
      ),
      sure(/^(transmission |trans |at )?gear( position| number| no)?$|^(aktueller |eingelegter )?gang$|^ganganzeige$/),
      perhaps(/\bgear\b|\bgang(stufe)?\b/),
    ],
  },
  {
    signal: 'load',
    never: new RegExp(`${NOT_A_VALUE.source}|brak|brems|chassis|axle|trailer`),
    words: [
      sure(
        /\b(engine|motor|calculated|calc|relative|rel|abs(olute)?) ?load\b|\bload( value| pct)?\b|\b(motor)?last\b|\blastsignal\b/,
      ),
      likely(/\b(relative torque|torque (share|percent|pct|demand))\b|\bmomentenanforderung\b/),
    ],
  },
  {
    signal: 'inputTorque',
    never: new RegExp(`${NOT_A_VALUE.source}|output|ref|rated|brake|converter clutch|steer`),
    words: [
      sure(
        /\b(input|turbine|trans(mission)? input)( shaft)? (torque|trq)\b|\b(eingangs|turbinen|antriebs)(dreh)?moment\b/,
      ),
      perhaps(
        /\b(engine|eng|motor) ?(torque|trq|tq)\b|\bmotor(dreh)?moment\b|\b(m ?mot|me)\b/,
        'N·m',
        'equals input torque only with the converter locked',
      ),
    ],
  },
  {
    signal: 'pedal',
    never: new RegExp(`${NOT_A_VALUE.source}|brake|brems|clutch|kuppl`),
    words: [
      sure(
        /\b(accelerator|accel|acc|gas|drive|driver)( actual)? ?(pedal|position|pos)\b|\b(fahr|gas)pedal(stellung|weg|wert)?\b|\b(app|pwg|kickdown pedal)\b/,
      ),
      sure(/\bpedal( position| pos)?\b/),
      likely(/\bthrottle( position| pos)?\b|\bdrosselklappe(nwinkel|nstellung)?\b|\btps\b/, '%', 'throttle, not pedal'),
    ],
  },
  {
    signal: 'brake',
    never: new RegExp(`${NOT_A_VALUE.source}|pressure|druck|torque|temp|pedal position|moderate|park|b[0-9]`),
    words: [
      sure(
        /\bbrake ?(switch|light|lamp|active|on|applied|pedal)\b|\b(bls|bremslicht(schalter)?|bremsschalter|bremspedal)\b/,
      ),
      likely(/^(brake|bremse)$/),
    ],
  },
  {
    signal: 'fluidTemperature',
    never: new RegExp(`${NOT_A_VALUE.source}|coolant|engine|motor|intake|ambient|outside|brake|exhaust|change`),
    words: [
      sure(
        /\b(atf|tft|tot|trans(mission)?( oil| fluid)?|gearbox( oil| fluid)?|gear oil|sump|fluid) ?(temp(erature|eratur)?|t)\b|\bt ?(atf|oil|fluid|trans|gearbox|sump|getriebe|oel)\b/,
      ),
      sure(/\b(getriebe|atf ?)?oel ?temp(eratur)?\b|\bgetriebetemp(eratur)?\b/),
      likely(/^(atf|tft|tot)$/),
      perhaps(/\boil temp(erature)?\b/, '°C', 'may be engine oil'),
    ],
  },
  {
    signal: 'program',
    never: NOT_A_VALUE,
    words: [
      sure(
        /\b(shift|drive|driving|gearbox|transmission) ?(program|programme|mode|map)\b|\b(fahr|schalt)(programm|modus)\b/,
      ),
      likely(/^(program|programme|programm|mode|modus)$/),
    ],
  },
  {
    signal: 'applyPressure',
    never: new RegExp(
      `${NOT_A_VALUE.source}|line|main|boost|brake|fuel|rail|manifold|baro|tyre|tire|front|rear|haupt|lade`,
    ),
    words: [
      sure(
        /\b(apply|applied|clutch|on ?coming|shift|command(ed)?|fill) ?(pressure|press|prs)\b|\b(kupplungs|schalt|anlege|soll)druck\b|\bp (apply|clutch|shift|cmd|kuppl)\b/,
      ),
    ],
  },
  {
    signal: 'linePressure',
    never: new RegExp(`${NOT_A_VALUE.source}|boost|brake|fuel|rail|manifold|baro|tyre|tire`),
    words: [
      sure(
        /\b(line|main|system|mod(ulating|ulated)?|pump) ?(pressure|press|prs)\b|\b(haupt|arbeits|modulier|system|leitungs)druck\b|\bp (line|main|haupt|mod|sys)\b/,
      ),
    ],
  },
  {
    signal: 'converterDuty',
    never: NOT_A_VALUE,
    words: [
      sure(/\b(tcc|lock ?up|conv(erter)?( clutch)?|lu|wk|wuek)( clutch)?( solenoid)? ?(duty( cycle)?|pwm|dc)\b/),
      sure(
        /\b(wandler(ueberbrueckungs)?(kupplung)?|wuek|wk) ?(tastverhaeltnis|pwm|duty)\b|\b(duty|pwm) (tcc|lock ?up|converter|wk|wuek)\b/,
      ),
    ],
  },
  {
    signal: 'supplyVoltage',
    never: new RegExp(`${NOT_A_VALUE.source}|sensor|reference|ref`),
    words: [
      sure(
        /\b(supply|battery|batt|system|module|ecu|tcu|board) ?(voltage|volts|volt|v|u)\b|\b(versorgungs|batterie|bord(netz)?)spannung\b|\bu ?(batt?|bord|supply|bn)\b/,
      ),
      likely(/^(vbatt?|ubatt?|kl ?(15|30)|voltage|spannung)$/),
    ],
  },
  {
    signal: 'valveOn',
    never: NOT_A_VALUE,
    words: [
      sure(
        /\b(shift|change ?over|command)? ?(valve|solenoid) ?(on|active|energi[sz]ed|state|status)\b|\b(schalt|magnet)ventil ?(ein|aktiv|an|bestromt)?\b/,
      ),
    ],
  },
  {
    signal: 'mark',
    never: NOT_A_VALUE,
    words: [sure(/^(mark(er|ierung)?|event( button| marker)?|button|taste|merker|trigger)( count)?$/)],
  },
];

/**
 * A header name as plain lower-case words: `nIn`, `n_in` and `N-In` become `n in`; umlauts are written out, and an
 * umlaut left away in capitals is tolerated by no rule.
 */
export function headerWords(label: string): string {
  return label
    .replace(/([a-zäöüß0-9])([A-ZÄÖÜ])/g, '$1 $2')
    .replace(/([A-ZÄÖÜ]+)([A-ZÄÖÜ][a-zäöüß])/g, '$1 $2')
    .toLowerCase()
    .replaceAll('ä', 'ae')
    .replaceAll('ö', 'oe')
    .replaceAll('ü', 'ue')
    .replaceAll('ß', 'ss')
    .replace(/[^a-z0-9]+/g, ' ')
    .trim();
}
