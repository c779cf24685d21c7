import { describe, expect, it } from 'vitest';
import { columnName, csvText, distinctNames } from './csv';

// Names are composed by hand after the rule "label_unit, lower case, no spaces".
describe('columnName', () => {
  it.each([
    ['Stiffness', 'N/mm', 'stiffness_n_per_mm'],
    ['First arc angle', '°', 'first_arc_angle_deg'],
    ['Holding torque', 'N·m', 'holding_torque_n_m'],
    ['Area', 'mm²', 'area_mm2'],
    ['Error', 'µm', 'error_um'],
    ['Share', '%', 'share_percent'],
    ['Number of arms', '', 'number_of_arms'],
    ['Compliance', 'rad/(N·m)', 'compliance_rad_per_n_m'],
    ['Größe', 'mm', 'große_mm'],
    ['', '', 'value'],
  ])('names %s in %s as %s', (label, unit, name) => {
    expect(columnName(label, unit)).toBe(name);
  });

  it('numbers names that repeat', () => {
    expect(distinctNames(['a', 'b', 'a', 'a'])).toEqual(['a', 'b', 'a_2', 'a_3']);
  });
});

// Quoting and line ends by RFC 4180, section 2, rules 1 and 5 to 7.
describe('csvText', () => {
  it('quotes commas, quotes and line breaks, and leaves no value empty', () => {
    const text = csvText(
      ['id', 'name'],
      [
        [1, 'a, b'],
        [2, 'the "good" one'],
        [3, 'two\nlines'],
        [NaN, null],
        [undefined, true],
      ],
    );
    expect(text).toBe(
      'id,name\r\n1,"a, b"\r\n2,"the ""good"" one"\r\n3,"two\nlines"\r\n,\r\n,yes\r\n',
    );
  });

  it('keeps every digit of a number', () => {
    const value = 0.1 + 0.2;
    const written = csvText(['x'], [[value]]).split('\r\n')[1];
    expect(Number(written)).toBe(value);
  });
});
