"""How often each finding is met, what each reading then says, how long a reading takes.

The tables are text on purpose: someone of the trade can read a row and say that it is
wrong. Every number in them is common practice, no source. They are part of the program
rather than a file beside it so that a quote replays to the same answer; a row that does
not add up is refused when the tables are first read.

`PRIORS`: of the calls to heaters with that ignition, how many turn out to be this, as
weights (only their ratios matter), before anything has been looked at. "-" cannot be
found with that ignition. The last four columns are factors: in a sealed chamber, and by
the age of the heater in years (the middle age where it is not known).

`LIKELIHOODS`: in percent, what a reading says when that finding is the one fault. A
finding without a row of its own behaves like "every other". A block "when flame is small"
holds where the other reading says so; where that was not taken it is averaged over.

`READING_TIMES`: minutes to take a reading, and the tool for it, which is laid out once.
"""

PRIORS = """
finding               thermocouple  thermopile  intermittent  surface  sealed  to 5  to 10  over 10
no_spark              8             8           14            -        1       0.8   1      1.2
no_gas                6             6           6             6        1       1     1      1
weak_pilot            14            14          14            -        1       0.8   1      1.3
pilot_hood_bent       1             1           1             -        1       1     1      1
element_misplaced     4             4           -             -        1       1.5   1      0.8
element_fouled        6             6           -             -        1       0.8   1      1.2
element_worn          26            4           -             -        1       0.5   1      1.5
loose_connection      6             6           -             -        1       1     1      1
limit_open            3             3           4             4        2       1     1      1
thermal_fuse_open     3             3           3             3        1       1     1      1
downdraft             5             5           4             4        1       1     1      1
control_magnet        2             2           -             -        1       0.5   1      1.5
thermopile_weak       -             22          -             -        1       0.5   1      1.5
arrestor_blocked      10            10          10            10       1       0.8   1      1.3
vapor_sensor_tripped  2             3           3             3        1       1     1      1
door_seal_damaged     1.5           1.5         1.5           1.5      1       0.7   1      1.3
igniter_open          -             -           -             26       1       0.6   1      1.4
flame_rod_fouled      -             -           16            16       1       0.6   1      1.3
thermostat_drift      4             4           4             4        1       0.6   1      1.5
tank_leak             4             4           4             4        1       0.3   1      2.5
"""

LIKELIHOODS = """
flame                                   good  small  off_element  lifting  none
  every other                           88    4      3            2        3
  weak_pilot                            3     84     8            2        3
  pilot_hood_bent                       3     3      90           2        2
  element_misplaced                     35    3      58           2        2
  downdraft                             25    8      20           40       7
  arrestor_blocked                      35    24     6            20       15
  door_seal_damaged                     55    8      6            25       6
  no_gas                                1     1      1            1        96
  no_spark                              20    2      1            1        76

hold                                    drops  holds  never
  every other                           6      90     4
  element_worn, thermopile_weak         88     10     2
  element_fouled, element_misplaced     78     17     5
  loose_connection                      78     20     2
  limit_open, thermal_fuse_open         92     2      6
  control_magnet                        96     2      2
  weak_pilot                            50     22     28
  pilot_hood_bent                       76     16     8
  downdraft                             20     55     25
  arrestor_blocked                      25     40     35
  vapor_sensor_tripped                  45     35     20
  no_spark                              3      27     70
  no_gas                                2      1      97

joint_tight                             yes  no
  every other                           95   5
  loose_connection                      4    96

element_seated                          yes  no
  every other                           96   4
  pilot_hood_bent                       85   15
  element_misplaced                     4    96

element_clean                           yes  no
  every other                           80   20
  element_worn, thermopile_weak         75   25
  arrestor_blocked                      55   45
  element_fouled                        3    97

millivolts_open when flame is good      good  low
  every other                           94    6
  element_worn                          6     94
  thermopile_weak                       30    70
  element_fouled                        12    88
  pilot_hood_bent                       20    80
  weak_pilot                            12    88
  element_misplaced                     8     92

millivolts_open when flame is small or off_element or lifting    good  low
  every other                           20    80
  weak_pilot, pilot_hood_bent           6     94
  element_misplaced, element_fouled     5     95
  element_worn, thermopile_weak         3     97

millivolts_open when flame is none      good  low
  every other                           2     98

millivolts_loaded when millivolts_open is good    good  low
  every other                           95    5
  control_magnet                        97    3
  element_misplaced                     75    25
  element_fouled                        30    70
  weak_pilot, pilot_hood_bent           30    70
  limit_open, thermal_fuse_open         30    70
  loose_connection                      10    90
  element_worn, thermopile_weak         8     92

millivolts_loaded when millivolts_open is low     good  low
  every other                           30    70
  weak_pilot, pilot_hood_bent           4     96
  element_misplaced, element_fouled     4     96
  loose_connection                      8     92
  element_worn, thermopile_weak         2     98

limit_ohms                              closed  between  open
  every other                           96      2        2
  loose_connection                      92      6        2
  arrestor_blocked                      83      2        15
  limit_open                            1       2        97

fuse_ohms                               closed  between  open
  every other                           96      2        2
  loose_connection                      92      6        2
  thermal_fuse_open                     1       2        97

millivolts_at_drop_out                  good  between  high
  every other                           30    66       4
  control_magnet                        4     36       60

millivolts_at_drop_out by the maker     good  high
  every other                           95    5
  control_magnet                        10    90

gas_at_pilot                            yes  no
  every other                           97   3
  weak_pilot                            75   25
  no_gas                                2    98

spark                                   good  weak  elsewhere  none
  every other                           90    6     2          2
  no_spark                              2     13    25         60

windy_or_downdraft                      no  yes
  every other                           88  12
  downdraft                             10  90

arrestor_clean                          yes  no
  every other                           85   15
  limit_open                            70   30
  arrestor_blocked                      3    97

inlet_standing_in_wc                    good  low  high
  every other                           95    3    2
  weak_pilot                            80    18   2
  no_gas                                29    70   1

inlet_flowing_in_wc when inlet_standing_in_wc is good    good  low  high
  every other                           95    4    1
  weak_pilot                            82    17   1
  no_gas                                10    89   1

inlet_flowing_in_wc when inlet_standing_in_wc is low     good  low  high
  every other                           4     95   1
  no_gas                                2     97   1

inlet_flowing_in_wc when inlet_standing_in_wc is high    good  low  high
  every other                           30    4    66
  no_gas                                10    80   10

door_seal_sound                         yes  no
  every other                           96   4
  door_seal_damaged                     3    97

vapor_sensor_in_range                   yes  no
  every other                           96   4
  vapor_sensor_tripped                  3    97

igniter_ohms                            closed  open
  every other                           97      3
  igniter_open                          3       97

flame_current_microamp                  good  low  none
  every other                           85    10   5
  weak_pilot                            35    50   15
  downdraft, arrestor_blocked           45    40   15
  igniter_open, no_gas, no_spark        2     3    95
  flame_rod_fouled                      4     76   20

outlet_f                                good  low  high
  every other                           50    47   3
  thermostat_drift                      5     45   50

tank_leaks                              no    yes
  every other                           99.5  0.5
  tank_leak                             1     99
"""

READING_TIMES = """
reading                 minutes  tool
flame                   1        eyes
hold                    2        eyes
joint_tight             1        wrench
element_seated          1        eyes
element_clean           1        eyes
millivolts_open         2        meter
millivolts_loaded       2        meter
limit_ohms              2        meter
fuse_ohms               2        meter
millivolts_at_drop_out  4        meter
gas_at_pilot            1        eyes
spark                   0.5      eyes
windy_or_downdraft      1        eyes
arrestor_clean          2        eyes
inlet_standing_in_wc    1        gauge
inlet_flowing_in_wc     1        gauge
manifold_in_wc          3        gauge
door_seal_sound         3        eyes
vapor_sensor_in_range   2        meter
igniter_ohms            2        meter
flame_current_microamp  4        meter
outlet_f                2        thermometer
"""

TOOL_TIMES = """
tool         minutes
eyes         0
wrench       1
meter        2
gauge        5
thermometer  1
"""
