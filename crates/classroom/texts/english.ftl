# Every text of the classroom. A translation is one file like this one.

# The page.
page-title = Classroom – Gatefrost
page-description = Exercises on powder injection moulding with each student’s own numbers, hints, worked solutions, and slips that a lecturer checks in bulk.
page-skip = Skip the head of the page
page-skip-exercises = Skip to the exercises
page-skip-desk = Skip to the lecturer’s desk
page-heading = Classroom
page-subtitle = Exercises from powder to finished part, with your own numbers
page-handbook = Handbook
page-loading = Loading the exercises…
page-share-loaded = Share loaded
page-kept = Load it again: what you typed is kept in this browser.
page-foot = Everything is computed on this device. Nothing is sent anywhere. Exercises are about numbers: hot melt, fine powder, solvent vapour and furnace gases can hurt people. In the workshop local codes, the suppliers’ data sheets and licensed practice come first.

who-heading = Your name or number
who-label = Name or number
who-use = Use it
who-forget = Forget what is kept here
who-about = Your numbers follow from it: the same on every device, for ever. It stays in this browser, with your answers.

list-heading = Exercises
list-first = Type your name or number first.
level-first = first level
level-second = second level
level-third = third level
points-of = { $points } of 100

exercise-data = Data
exercise-readings = Readings
exercise-answers = Answers
exercise-points = Type a number with its unit. 70 of 100 points are for the value, 20 for the unit, 10 for sensible significant figures.
answer-in-unit = in { $unit }, say
answer-a-number = a number
answer-check = Check
answer-value-right = value right
answer-value-wrong = value not right
answer-unit-right = unit right
answer-unit-wrong = unit not right
answer-figures-right = significant figures right
answer-figures-wrong = significant figures not right
hints-heading = Hints
hint-open = Open hint { $at } of { $of }
solution-heading = Solution
solution-show = Show the solution
solution-give-up = Give up and show the solution
solution-noted = Your slip will say that you opened it before all answers were right.
solution-same = . The program’s own function gives the same.
solution-core = . The program’s own function gives { $value }.
beside-heading = What the solver says
beside-compute = Compute it with the solver
beside-computing = Computing…
beside-unreached = The solver could not be loaded. Try again.
beside-nothing = The solver gives no such value here: the gate does not freeze, or the part stays short.

# Inside a course page.
course-title = Powder injection moulding: exercises
course-id = Your id comes from the course: { $id }. Your numbers follow from it.
course-saved = Saved in the course: { $score } of 100 points, the mean of all exercises.
course-full = Saved in the course: { $score } of 100 points. The course has no room for { $lost } of your answers: they will be missing at your next visit.
course-looked-at = The course only shows this work. Nothing that you do now is saved.
course-none = No course was found around this page. It works by itself: type your name or number, and hand in the slips.
course-refused = The course does not begin the exercises. The page works by itself: type your name or number, and hand in the slips.
course-id-unusable = The id that the course gives cannot be used. The page works by itself: type your name or number, and hand in the slips.
course-failed = The course did not save your work. Keep your answers, and tell your lecturer.
solution-course = The course keeps the points that you have now, because you open it before all answers are right.

hand-in-heading = Hand in
hand-in-about = A line for each exercise with your answers as you typed them, and the hints that you opened. Send them as text or as a file.
hand-in-nothing = No answer has been checked yet.
hand-in-slips = Your slips
hand-in-copy = Copy
hand-in-copied = Copied.
hand-in-press = Press Ctrl+C to copy.
hand-in-download = Download
# The name of the file; signs that a file’s name cannot have are left out.
hand-in-file = slips { $id }

desk-heading = The lecturer’s desk
desk-honest = Every check runs in the browser of whoever opens this page. A determined student can read the answers out of it, as out of any page that checks answers by itself. Slips are judged anew here, so points cannot be typed in; but nobody can see from a slip who worked on it. Use it for practice, or ask for the way as well.
desk-refused = This cannot be done.
desk-key-heading = Key and worksheets
desk-ids = Ids of the students, one a line
desk-exercises = Exercises
desk-all = all exercises
desk-key = Download the key (CSV)
desk-sheets = Print worksheets
desk-solved = Print with solutions
desk-slips-heading = Check slips
desk-slips-about = Paste what students sent, mails and all, or drop their files here. Of two slips of one student for one exercise the later counts.
desk-slips = Slips
desk-check = Check the slips
desk-open = Open files
desk-files = Files with slips
desk-share-judged = Share judged
desk-none = No slip was found. A slip is a line that begins with GF1.
desk-judged-one = { $count } slip judged.
desk-judged-many = { $count } slips judged.
class-caption = Points of a hundred, by student and exercise
class-student = Student
class-solution = solution
class-hints-one = { $count } hint
class-hints-many = { $count } hints
class-download = Download the class (CSV)
class-common = What often went wrong
class-exercise = Exercise
class-said = What was said
class-students = Students
class-bad = Lines that could not be read
class-bad-line = Line { $line }: { $words }
sheets-heading = Worksheets
sheets-id = Name or number: { $id }
sheets-asked = Asked for:
sheets-many = These are { $count } tasks. At most { $most } are printed at once: choose one exercise, or fewer students.

# Exercises that a lecturer makes: the names of their fields, and what is wrong with one.
own-document = The exercise
own-version = Version of the exercise
own-title = Title
own-task = Task
own-hints = Hints
own-hint = Hint { $at }
own-scenario-label = Scenario
own-inputs = Inputs that the student sees
own-input = input
own-from = from
own-to = to
own-step = step
own-open-label = may be changed
own-asked = Results asked for
own-result = result
own-tolerance = tolerance
own-figures = significant figures
own-points = points
own-window = Own scenario in the window
own-of-input = Input { $at }, { $field }
own-of-result = Result { $at }, { $field }
own-long = The text has more than { $most } kB. That is no exercise.
own-link-broken = The link cannot be read: characters of it are missing, changed or added. Copy it again.
own-no-exercise = This is no exercise. Accepted are the link of one, and the text of its file.
own-no-scenario = The scenario is empty. Accepted is a link of the window, or the text of a scenario’s file.
own-scenario-wrong = { $field } gives a scenario that cannot be computed: { $words }
own-count = { $field }: there are { $count }. Accepted are { $least } to { $most }.
own-length = { $field } has { $count } characters. Accepted are { $least } to { $most }.
own-character = { $field }: the character { $code } cannot stand there.
own-range = { $field } is { $value }. Accepted is { $accepted }.
own-above = a number above { $least }
own-steps = a number above 0 that makes 2 to { $most } values, a whole one for a count
own-twice = { $field }: { $value } stands there twice.
own-no-result = { $field }: { $value } is no result of the report.
own-no-input = { $field }: { $value } is no input of this scenario.
own-grid = { $field }: its number { $name } is { $value }. At most { $most } are accepted here, or a phone would compute too long.
own-locked = The input { $value } is locked in this exercise.
own-nothing = The solver gives no such value for these numbers: { $result }. Tell your lecturer.

# A student works such an exercise.
posed-open = Open a file of your lecturer
posed-loading = Opening the exercise…
posed-refused = The exercise cannot be opened.
posed-first = Type your name or number above. Your numbers follow from it.
posed-computing = Computing…
posed-worth = Worth { $points }; right within { $tolerance } %.
posed-model-heading = The model
posed-open-none = All inputs are locked on this page.
posed-open-some = These inputs are open: change them, and let the solver compute. All others are locked. Your answers are judged for the data above, whatever you change here.
posed-compute = Compute
posed-window = Open these data in the window
posed-window-about = There every input can be changed, the locked ones too, and the results are shown. What you change there changes nothing here.
posed-solution-about = The solver computes for your numbers:
posed-honest = The line below has your answers as you typed them and the hints that you opened. Send it as text or as a file. Your lecturer judges the answers again.

# The lecturer makes it.
make-heading = Make an exercise
make-about = Take a scenario, write a task, and choose what each student has numbers of their own for and which results are asked. It becomes a link, a code and a file.
make-open = Make an exercise
make-demo = Begin with a demo
make-scenario = Or with a scenario: paste its link
make-take = Take this scenario
make-scenario-file = Open a scenario’s file
make-open-exercise = Open an exercise’s file
make-file = File
make-taken = The scenario is “{ $name }”.
make-task-about = Plain text. Between two dollar signs stands a formula: $t_g = h^2/(pi^2 alpha)$.
make-hint = Hint
make-add-hint = Add a hint
make-remove = Remove
make-inputs-about = Inputs that are not in this list are locked and not shown.
make-input = Input
make-how = Shown to the student as
make-locked = the same for all, locked
make-drawn = own number, locked
make-may-change = open: the model on the page computes with other values
make-add-input = Add an input
make-result = Result
make-tolerance = Tolerance, %
make-least-figures = Least figures
make-most-figures = Most figures
make-points = Points
make-add-result = Add a result
make-window = Offer the student’s own data in the window
make-window-about = The window shows every result, those that are asked for, too. An open input also lets a student find answers by trying. Leave both out if the answers are to be worked out by hand.
make-it = Make the exercise

# An exercise that has been made.
made-nothing = The link, the code and a look at the exercise come here.
made-spans = Answers at the ends of the ranges
made-least = Least
made-most = Most
made-missing = Without a value
made-of = { $missing } of { $cases }
made-link = Link for the students
made-file = Download the file
made-code = Code that opens the exercise
made-no-code = The link is too long for a code. Send the link or the file.
made-honest = The link holds the scenario and everything that the answers follow from. A determined student can compute the answers with it, as with any check that runs in their own browser. A slip made with a changed link is not taken: it names its numbers. Correct a word, points or a tolerance at any time; another scenario, range or result makes other numbers.
made-look = As the student { $id } sees it
made-key-heading = Key

# Demonstrations in the hall.
hall-link = For the hall
hall-keys = Arrow keys move the control, Home and End go to its ends. Page Down and Page Up, or 1 to 6, change the demonstration. F fills the screen. Escape leaves.
hall-next = Next
hall-previous = Previous
hall-leave = Leave
hall-computing = Computing…
hall-failed = The solver could not compute this: { $words }
hall-at = { $control }: { $value }
hall-figure = { $title }. { $told }
hall-of = { $at } of { $of }
hall-present = now
hall-loading-title = More powder, until the viscosity runs away
hall-loading-words = The hinge bracket of the first demo is filled with more and more powder. Which loading can the machine still fill?
hall-loading-control = Solids loading
hall-loading-result = Pressure to fill
hall-loading-level = machine’s limit
hall-loading-mark = critical loading
hall-gate-title = The gate that freezes first
hall-gate-words = A shallow gate freezes early. From then on no hold pressure reaches the part. How deep must the gate be?
hall-gate-control = Depth of the gate
hall-gate-told = The gate is frozen after { $freeze }. The parts weigh { $mass } and shrink by { $shrinkage } by volume.
hall-gate-never = The gate does not freeze in the time that is computed. The parts weigh { $mass } and shrink by { $shrinkage } by volume.
hall-speed-title = Burning by speed
hall-speed-words = A machine without limits fills the bracket faster and faster. The melt heats itself. Where does the binder burn?
hall-speed-control = Injection time
hall-speed-result = Hottest melt
hall-speed-level = burning begins
hall-hold-title = Part mass against hold time
hall-hold-words = Hold longer, weigh, and hold longer again. The mass stops growing when the gate is frozen: the trade’s own test.
hall-hold-control = Hold time
hall-hold-result = Mass of the parts
hall-hold-mark = gate frozen in a long hold
hall-wall-title = A wall that closes the window
hall-wall-words = Only the thickness of the base plate changes. Which limits close the window of injection time and melt temperature?
hall-wall-control = Thickness of the base plate
hall-wall-told = { $share } of this plane is usable. Bounded by: { $limits }.
hall-wax-title = The wax must go first
hall-wax-words = In the furnace the backbone turns into gas inside the wall. The gas leaves through the pores that the wax has left. How open must they be?
hall-wax-control = Porosity
hall-wax-told = Inside the wall the gas is { $pressure } above the pressure outside.

# A class's own readings.
own-heading = Own readings against the model
own-about = Weigh parts after holds of different length, or measure the viscosity of your feedstock. Paste the table here, or drop its file, and compare it with the model. Readings stay on this device.
own-open = Compare own readings
own-kind = What was measured
own-hold = part mass against hold time
own-viscosity = viscosity against shear rate
own-hold-about = Two columns: hold time in s, mass of all parts of a shot without sprue and runners in g. A hold may stand more than once.
own-viscosity-about = Three columns: temperature in °C, shear rate at the wall in 1/s, viscosity in Pa·s. Readings of a capillary, with ends and apparent rates, are reduced in the laboratory.
own-scenario = Link of your own scenario, in place of the demo
own-link-unreadable = Scenario: the link cannot be read. Copy the whole link from the page of the window.
own-table = Table
own-compare = Compare
own-computing = Computing…
own-file = File with the table
own-long = Table: it is longer than { $most } kB. Paste only the readings.
own-line = Table: line { $line } is { $typed }. It needs { $count } numbers of 0 or more.
own-few = Table: at least two rows are needed.
own-many = Table: at most { $most } rows are accepted.
own-rate-range = Table: shear rate and viscosity must be greater than 0.
own-hold-range = Table: the hold times must be from { $least } to { $most } s, and the masses greater than 0.
own-caption-hold = Part mass against hold time: weighed and by the model
own-caption-viscosity = Viscosity against shear rate: measured and by the model
own-axis-hold = Hold time
own-axis-mass = Mass of the parts
own-axis-rate = Shear rate
own-axis-viscosity = Viscosity
own-by-model = model
own-by-model-at = model, { $temperature }
own-measured = measured
own-measured-at = measured, { $temperature }
own-ratio = The readings are on average { $mean } of the model’s values; the ratio is from { $least } to { $most }.
own-gate = In a long hold the model’s gate is frozen after { $freeze }. The last reading is { $change } above the first.

# Figures.
figure-series = Curve
figure-data = Data as a table
figure-label = { $caption }: its numbers are in the table below
figure-density = density of the mixture
figure-densest = Density of the mixture against its solids loading
figure-torque = torque
figure-runaway = Torque of the mixer against the solids loading
figure-readings = readings
figure-rheometer = Pressure before the die against its length
figure-rheometer-readings = Pressure before the die against its length: circles at the lower rate, squares at the higher one
figure-end-correction = end correction
figure-wall = thickness of the wall
figure-bath = time in the bath
figure-solvent = Time in the bath against the thickness of the wall
figure-open = open pores
figure-shut = shut pores
figure-depth = depth below the first punch
figure-left = pressure, of that of the punch
figure-pressing = Pressure along the compact
figure-one = from one side
figure-both = from both sides
figure-gas = Pressure of the gas inside a wall against its porosity
figure-porosity = porosity
figure-gas-pressure = pressure above that outside

# Heads of the columns of what is downloaded, with commas between them.
csv-key = id,exercise,version,answer,value,unit
csv-class = id,exercise,points,hints,solution opened,answer,typed,points of the answer,feedback
csv-own-key = id,exercise,answer,result,value,unit
csv-yes = yes
csv-no = no

# What is asked of a student, and what is wrong with what was typed.
id-none = Student id: nothing was typed. Type a name or a number of 1 to 64 characters.
id-long = Student id: it has { $length } characters. At most 64 are accepted.
id-character = Student id: the character { $code } cannot stand in an id. Letters, digits, spaces and marks are accepted.
answer-empty = Type a number with its unit.
answer-long = The answer is longer than { $most } characters. Type one number with its unit.
answer-no-number = { $typed } is not a number. Type it like 12.6, 12,6 or 1.26e4, then the unit.

ids-many = The list has more than { $most } ids. Make a key for fewer.
slip-cut = This line begins like a slip but is cut off.
slip-changed = This line was changed or cut off after it was made: its check does not fit.
slip-exercise = There is no exercise { $name }. The slip may come from a newer copy of this page.
slip-version = The slip is of another version of the exercise { $name }. Check it with the copy of this page that the class used.
slip-long = The text is longer than { $most } MB. Check the slips in parts.
slip-own = This slip is of an exercise that a lecturer made. Open that exercise, and check it there.
slip-other-own = This slip is of another exercise, or of this one with other numbers.
slip-not-own = This slip is of an exercise of the list, not of this one. Check it at the lecturer’s desk.
slip-many = There are more than { $most } slips. Check them in parts.

# Judging.
judge-right = Right.
judge-wrong = The value is not right. Open the next hint, then check each step.
judge-close = The value is close, but not close enough. Check the arithmetic, and round only at the end.
judge-rounded = The value is rounded too much to be judged. Give at least { $least } significant figures.
judge-few-figures = Give at least { $least } significant figures.
judge-many-figures = Give at most { $most } significant figures: the data are not known better.
judge-no-unit = The unit is missing. The answer was read in { $unit }.
judge-other-unit = { $typed } is not a unit of this quantity. The answer was read in { $unit }.
judge-unknown-unit = The unit { $typed } is not known here. The answer was read in { $unit }.
judge-grouped = Your comma was read as a decimal mark. Write the number without a comma between thousands.
judge-sign = The sign is wrong.
judge-power = The value is wrong by a power of ten (10^{ $power }). Check the units of the data: mm against m, µm against mm, per cent against a share.
judge-twice = The value is wrong by a factor of two. Check radius against diameter, and half a wall against the whole wall.
judge-four-times = The value is wrong by a factor of four. A length that is squared was taken twice as large or half as large.
judge-sixty = The value is wrong by a factor of 60. Check minutes against seconds, or hours against minutes.
judge-hour = The value is wrong by a factor of 3600. Check hours against seconds.
judge-inverse = This is one over the answer. Check which quantity stands above the line.

# Quantities.
binder-density = density of the binder
powder-density = density of the powder
loading = solids loading, share of the volume
loading-first = first solids loading
loading-second = second solids loading
loading-below = solids loading below the critical one
loading-above = solids loading above the critical one
batch-mass = mass of the batch
mass-share = share of powder by mass
powder-mass = mass of the powder
critical-loading = critical solids loading
critical-loading-other = critical solids loading with the other exponent
density-below = density at φ₁
density-at-critical = density at the critical loading
density-above = density at φ₂
torque-first = torque at the first loading
torque-second = torque at the second loading
torque-root = root of the ratio of the torques
runaway-exponent = exponent of the law
runaway-exponent-other = other exponent of the law
flow-exponent = flow exponent
factor-newtonian = factor of the viscosity without thinning
factor-equal-stress = factor of the viscosity at equal shear rate, from equal stress
factor-homogenised = factor of the viscosity at equal shear rate, homogenised
die-diameter = diameter of the dies
die-length = length of the die
die-length-short = length of the short die
die-length-long = length of the long die
die-pressure = pressure before the die
apparent-rate = apparent shear rate at the wall
end-correction = end correction as a length of die
wall-stress = shear stress at the wall
wall-rate = shear rate at the wall
viscosity-there = viscosity at that shear rate
flow-rate = flow rate
runner-diameter = diameter of the runner
runner-length = length of the runner
runner-pressure = pressure drop of the runner
consistency = consistency at the temperature of the melt
gate-width = width of the gate
gate-depth = depth of the gate
gate-speed = mean speed in the gate
pressure-at-middle = pressure in the middle
disc-diameter = diameter of the disc
clamp-share = share of the clamp force that may be used
projected-area = projected area
mean-pressure = mean pressure
opening-force = force that opens the mould
clamp-force = clamp force
melt-temperature = temperature of the melt
wall-temperature = temperature of the mould
no-flow-temperature = no-flow temperature
ejection-temperature = temperature to eject at
diffusivity = thermal diffusivity
conductivity = thermal conductivity
contact = heat transfer coefficient between melt and mould
biot = Biot number of half the thickness
first-root = first root of λ tan λ = Bi
mean-coefficient = coefficient of the mean temperature
freeze-mean = freeze time by the mean temperature
freeze-centre = freeze time by the temperature in the middle
freeze-wall = freeze time by the mean temperature, with the resistance of the wall
wall-thin = thickness of the thin wall
wall-thick = thickness of the thick wall
cooling-ideal = cooling time of the thin wall without resistance of the mould’s surface
cooling-thin = cooling time of the thin wall
cooling-thick = cooling time of the thick wall
cooling-ratio = cooling time of the thick wall over that of the thin one
final-size = size of the sintered part
sintered-density = density of the sintered part over that of the solid
share-filled = share of the cavity that the cold green part fills
furnace-shrinkage = linear shrinkage in the furnace, of the green size
cavity-by-loading = size of the cavity by loading alone
cavity-size = size of the cavity
tolerance = tolerance of a length, plus and minus
wanted-capability = wanted Cpk
variance-share = share of the variance that the loading may take
length-scatter = standard deviation of the length
length-scatter-loading = standard deviation of the length by the loading
loading-scatter = standard deviation of the loading
diffusivity-binder = diffusivity of the soluble binder
share-left = share of the soluble binder that is left
bath-thin = time for the thin wall
bath-thick = time for the thick wall
wall-both-sides = thickness of the wall, open on both sides
grain = diameter of the grains
furnace-temperature = temperature
gas-source = gas made in the wall
gas-viscosity = viscosity of the gas
gas-molar-mass = molar mass of the gas
gas-constant = gas constant
pressure-outside = pressure outside
porosity-open = porosity after the wax has gone
porosity-shut = porosity before
permeability = permeability with the open pores
gas-pressure-open = pressure above that outside, with open pores
gas-pressure-shut = pressure above that outside, with shut pores
compact-height = height of the compact
compact-width = diameter of the compact
wall-friction = friction coefficient times side pressure over axial pressure
left-from-one = pressure at the far end over that of the punch
left-from-both = pressure in the middle over that of the punches

# Powders.
powder-stainless = stainless steel
powder-iron = iron
powder-titanium = titanium
powder-alumina = alumina
powder-zirconia = zirconia
powder-carbide = cemented carbide
powder-tungsten = tungsten

# Exercises: title, what is learned, task, hints, wrong ways.
loading-by-mass-title = Loading by volume is not loading by mass
loading-by-mass-aim = You change a solids loading by volume into a share of the mass, and weigh a batch.
loading-by-mass-task = A feedstock of { $powder } powder is to have the solids loading φ by volume. Find the share of powder by mass, and the mass of powder in the batch.
loading-by-mass-hint-1 = Take one cubic metre of feedstock. The powder fills φ of it, the binder the rest.
loading-by-mass-hint-2 = The mass of each is its volume times its density.
loading-by-mass-hint-3 = The share by mass is the powder’s mass over the mass of both.
loading-by-mass-wrong-volume = This is the share of the volume. The powder is denser than the binder, so its share of the mass is larger.
loading-by-mass-wrong-swapped = The two densities are exchanged.
loading-by-mass-wrong-binder = The binder’s mass was taken for a full volume. It fills 1 − φ only.

densest-mixture-title = A mixture is densest at its critical loading
densest-mixture-aim = You see why density, weighed against loading, shows the critical loading.
densest-mixture-task = { $powder } powder packs no more densely than φ_c. Find the density of the mixture at φ₁, at φ_c and at φ₂. Here φ₂ counts powder over powder and binder: above φ_c the binder no longer fills all gaps.
densest-mixture-hint-1 = Up to φ_c there are no voids: the density is the mean of both densities by volume.
densest-mixture-hint-2 = Above φ_c the powder fills φ_c of the compact, however little binder there is.
densest-mixture-hint-3 = The binder’s volume there is φ_c (1 − φ₂)/φ₂. What is left is void, and weighs nothing.
densest-mixture-wrong-mass = This is the formula for shares of the mass. φ is a share of the volume.
densest-mixture-wrong-voids = Above the critical loading there are voids. The powder cannot fill more than φ_c of the compact.

runaway-title = Where viscosity runs away
runaway-aim = You find the critical loading from two torques, and see what the exponent does to it.
runaway-task = A mixer needs the torque M₁ at the loading φ₁ and M₂ at φ₂. The torque follows (1 − φ/φ_c)^−m. Find the critical loading for the first exponent, and for the other one.
runaway-hint-1 = Divide the two torques: the unknown factor before the law falls away.
runaway-hint-2 = Take the root with the exponent 1/m: r = (M₂/M₁)^(1/m) = (φ_c − φ₁)/(φ_c − φ₂).
runaway-hint-3 = Solve for φ_c: it is (r φ₂ − φ₁)/(r − 1).
runaway-wrong-root = The exponent is missing: take the root of the ratio before you solve for φ_c.
runaway-wrong-power = The ratio was raised to m. It has to be raised to 1/m.

thinning-title = More powder in a fluid that thins
thinning-aim = You compare three answers to one question: how much more viscous is the feedstock with more powder?
thinning-task = The loading of a feedstock rises from φ₁ to φ₂; its viscosity follows (1 − φ/φ_c)^−m. The feedstock thins with the flow exponent n. Find the factor of the viscosity without thinning, and the factor at equal shear rate by two rules: the law holds at equal stress, and the homogenised law of Chateau, Ovarlez and Trung.
thinning-hint-1 = Without thinning the factor x is [(φ_c − φ₁)/(φ_c − φ₂)]^m.
thinning-hint-2 = If the viscosity is x times as high at every stress, the stress at equal rate grows by xⁿ.
thinning-hint-3 = Homogenised, the factor is x^((1+n)/2) times [(1 − φ₂)/(1 − φ₁)]^((1−n)/2).
thinning-wrong-linear = The exponent m is missing.
thinning-wrong-loadings = What counts is the distance from the critical loading, not the loading itself.
thinning-wrong-newtonian = This is the factor of a fluid that does not thin.
thinning-wrong-root = The factor was raised to 1/n. The stress at equal rate grows by xⁿ.
thinning-wrong-equal-stress = This is the factor of the rule of equal stress.
thinning-wrong-binder = The share of the binder is missing: it falls when powder is added, and the rest of it is sheared faster.

rheometer-title = The flow constants from readings
rheometer-aim = You take the ends of the dies out of the readings, find the flow exponent, and the true shear rate and viscosity.
rheometer-task = A capillary rheometer has two dies of one diameter. The table gives the pressure at two apparent shear rates. Find the end correction (as a length of die) at the lower rate, the shear stress at the wall at the higher rate, the flow exponent, and the viscosity at the higher rate.
rheometer-hint-1 = At one rate the pressure is a straight line over the length of the die. Where it is zero, the length is −e.
rheometer-hint-2 = The shear stress is D/4 times the slope of that line: the ends fall away.
rheometer-hint-3 = The flow exponent is the slope of ln τ over ln of the apparent rate.
rheometer-hint-4 = The shear rate at the wall is (3n + 1)/(4n) times the apparent one. The viscosity is stress over this rate.
rheometer-wrong-sign = The end correction is a length that is added to the die: it is positive.
rheometer-wrong-ends = The pressure of the ends is still in it. Use the difference of the two dies.
rheometer-wrong-radius = D/2 was taken in place of D/4: the stress is p R/(2 L), with the radius.
rheometer-wrong-inverse = This is 1/n.
rheometer-wrong-viscosity-slope = This is the slope of the viscosity, n − 1.
rheometer-wrong-apparent = The apparent shear rate was used. A fluid that thins is sheared faster at the wall.

runner-title = Shear rate and pressure in a runner
runner-aim = You estimate the pressure of a runner by hand, and compare it with the solver’s.
runner-task = Melt flows with the rate Q through a round runner. It follows τ = K γ̇ⁿ and keeps its temperature. Find the apparent shear rate, the true shear rate at the wall, and the pressure drop.
runner-hint-1 = The apparent shear rate of a tube is 32 Q/(π D³).
runner-hint-2 = The true one is (3n + 1)/(4n) times that.
runner-hint-3 = The shear stress at the wall is K γ̇ⁿ with the true rate.
runner-hint-4 = A balance of forces on the melt gives Δp = 4 L τ/D.
runner-wrong-apparent = The apparent shear rate was used. A fluid that thins is sheared faster at the wall.
runner-wrong-half = The stress acts on the whole wall: Δp π D²/4 = τ π D L.
runner-beside = The solver lets the melt cool at the wall and warm itself by shearing. Both change the pressure: a frozen layer raises it, heat lowers it. The solver’s value is that at the end of filling.
flow-wrong-radius = The radius was taken for the diameter.
flow-wrong-diameter = The diameter was taken for the radius in 4 Q/(π R³).
flow-wrong-slit = This is the formula of a slit. The runner is round.
flow-wrong-tube = This is the formula of a tube. The gate is a slit.

gate-title = How fast the melt is sheared in a gate
gate-aim = You find the two numbers that a gate is judged by: shear rate and speed.
gate-task = Melt flows with the rate Q through a gate of the width w and the depth h. Find the apparent shear rate at its wall and the mean speed.
gate-hint-1 = The apparent shear rate of a slit is 6 Q/(w h²).
gate-hint-2 = The mean speed is the flow rate over the area of the section.
gate-wrong-half = Half the depth was taken for the depth.
gate-wrong-sides = Width and depth are exchanged: the melt is sheared across the thin side.

gate-freeze-title = When a gate freezes
gate-freeze-aim = You find the freeze time in three ways, and see which assumption matters.
gate-freeze-task = A gate of the depth h has filled with melt of the temperature T_m. It is frozen at the no-flow temperature T_n. Find the freeze time by the mean temperature and by the temperature in the middle, both without resistance at the wall; the Biot number of half the depth; and the freeze time by the mean with the resistance of the wall. λ₁ and A₁ are from a table for this Biot number.
gate-freeze-hint-1 = The first term of the series for a slab: t = h²/(π² α) · ln[A (T_m − T_w)/(T_n − T_w)].
gate-freeze-hint-2 = A is 8/π² for the mean temperature and 4/π for the middle.
gate-freeze-hint-3 = Bi = h_c (h/2)/k. A small number means that the wall, not the melt, holds the heat back.
gate-freeze-hint-4 = With the resistance: t = (h/2)²/(λ₁² α) · ln[A₁ (T_m − T_w)/(T_n − T_w)].
gate-freeze-wrong-centre = This is the time for the middle. It cools last.
gate-freeze-wrong-mean = This is the time for the mean temperature without resistance at the wall.
gate-freeze-wrong-half = Half the depth was taken for the depth: with π² stands the whole depth.
gate-freeze-wrong-ratio = The factor before the ratio of temperatures is missing.
gate-freeze-wrong-whole = The whole depth was used. The Biot number and λ₁ belong to half of it.
gate-freeze-beside = The solver adds the heat of melting, the wall that warms, and the melt that creeps through the gate as long as the hold presses: fresh melt keeps the gate open longer. Its feedstock is that of the first demo.

cooling-title = Cooling and the thickness of the wall
cooling-aim = You test a rule: twice the wall, four times the time.
cooling-task = A wall of the thickness h₁ cools from T_m until its mean temperature is T_e. Find the time without resistance at the mould’s surface, and with it. Then find how many times as long a wall of the thickness h₂ takes, with the resistance. λ and A are from a table for the Biot numbers of both walls.
cooling-hint-1 = Without resistance: t = h²/(π² α) · ln[(8/π²) (T_m − T_w)/(T_e − T_w)].
cooling-hint-2 = With it: t = (h/2)²/(λ² α) · ln[A (T_m − T_w)/(T_e − T_w)].
cooling-hint-3 = The rule of the square holds where the Biot number is large. For a small one the time grows as the thickness.
cooling-wrong-ideal = This is the time without the resistance of the mould’s surface.
cooling-wrong-square = This is the rule of the square. It holds without resistance at the wall only.
cooling-wrong-linear = The time grows faster than the thickness: inside the wall heat has a longer way to go.

clamp-title = Force that opens the mould
clamp-aim = You find the clamp force for a disc, and see why the exponent stands in it.
clamp-task = A disc is filled through its middle. The pressure there is p and falls towards the rim, where it is zero. Find the force that opens the mould, and the clamp force if only the share u of it may be used.
clamp-hint-1 = The mean pressure of a disc that a power-law fluid fills from its middle is (1 − n)/(3 − n) of the pressure in the middle.
clamp-hint-2 = The reason: the pressure falls as 1 − (r/R)^(1−n), and most of the area lies outside.
clamp-hint-3 = Force is mean pressure times projected area. The clamp force is that over the share u.
clamp-wrong-peak = The pressure in the middle was taken for the mean pressure.
clamp-wrong-half = Half the pressure was taken as the mean. Most of the disc’s area lies near the rim, where the pressure is low.
clamp-wrong-radius = The diameter was taken for the radius.
clamp-wrong-reserve = The force was multiplied by the share. The machine has to be larger than the force: divide.
clamp-wrong-without = The reserve is missing.

cavity-size-title = The size to cut
cavity-size-aim = You find the size of the cavity for a sintered part, and how wrong loading alone makes it.
cavity-size-task = A sintered part is to have the size L. Find its linear shrinkage in the furnace, the size of the cavity if the green part were exactly as large as its cavity, and the size of the cavity if the cold green part’s mass fills only the share S of it.
cavity-size-hint-1 = Powder is conserved. What the cavity holds, φ S by volume, becomes ρ_r by volume in the part.
cavity-size-hint-2 = Volumes are in the ratio ρ_r/(φ S). Lengths are in the ratio of its cube root.
cavity-size-hint-3 = Shrinkage is told of the green size: Y = 1 − (φ/ρ_r)^(1/3).
cavity-size-wrong-other-base = This is the growth from the part to the green size. Shrinkage is told of the green size.
cavity-size-wrong-volume = This ratio is one of volumes. A length needs its cube root.
cavity-size-wrong-added = The shrinkage was added to the final size. It is a share of the green size: divide by 1 − Y.
cavity-size-wrong-loading = This is the size by loading alone. The green part holds less powder than that: count S.
cavity-size-wrong-share = S is a share of the volume. A length needs its cube root.

tolerance-title = How well the loading has to be held
tolerance-aim = You turn a tolerance of the part into one of the feedstock.
tolerance-task = Lengths are to be held to ±t with the wanted Cpk, with the mean in the middle. The solids loading may take the share s of the variance. Find the standard deviation that a length may have, and that of the loading.
tolerance-hint-1 = Cpk is the tolerance over three standard deviations: σ_L = t/(3 C_pk).
tolerance-hint-2 = Variances add, not standard deviations: the loading may take √s of σ_L.
tolerance-hint-3 = A length follows φ^(1/3): its relative change is a third of that of the loading.
tolerance-hint-4 = So σ_φ = 3 φ √s σ_L.
tolerance-wrong-width = The whole width of the tolerance was taken. Cpk counts from the mean to the nearer limit.
tolerance-wrong-three = The wanted Cpk is missing.
tolerance-wrong-variance = s is a share of the variance: take its root.
tolerance-wrong-all = The other causes take their share of the variance, too.
tolerance-wrong-volume = The third is missing: a length changes by a third of what a volume changes.
tolerance-wrong-loading = The scatter is wanted in vol%, not as a share of the loading: multiply by φ.

solvent-title = The bath and the wall
solvent-aim = You find the time in a solvent, and what a thicker wall does to it.
solvent-task = Walls of the thickness h₁ and h₂, open on both sides, lie in a bath until the share F of the soluble binder is left. It diffuses with D. Find both times.
solvent-hint-1 = The first term of the series for a slab: F = (8/π²) exp(−π² D t/h²), with the whole thickness h.
solvent-hint-2 = Solve for the time: t = h²/(π² D) · ln[8/(π² F)].
solvent-hint-3 = The time grows as the square of the thickness.
solvent-wrong-whole = The way out is half the thickness: the wall is open on both sides.
solvent-wrong-quarter = Half the thickness was taken where the whole one stands.
solvent-wrong-removed = F is the share that is left, not the one that is taken out.
solvent-wrong-linear = The time grows as the square of the thickness.

gas-title = Why the wax goes first
gas-aim = You find the pressure of the gas inside a wall, with open pores and with shut ones.
gas-task = In a furnace the backbone of the binder turns into gas everywhere in a wall. The gas leaves through the pores. Find the permeability with the open pores, and the pressure in the middle above that outside, with the open pores and with the shut ones.
gas-hint-1 = Carman and Kozeny: K = ε³ d²/[180 (1 − ε)²].
gas-hint-2 = Darcy’s law for an ideal gas: p² = p₀² + μ R T Γ a²/(K M), with half the thickness a.
gas-hint-3 = The pressure above that outside is p − p₀.
gas-wrong-radius = The radius of the grains was taken. The formula has their diameter.
gas-wrong-whole = The whole thickness was taken for half of it: the gas leaves on both sides.
gas-wrong-absolute = This is the whole pressure. Wanted is what it is above that outside.

pressing-title = Pressing against moulding
pressing-aim = You see why a tall compact is not equally dense, and a moulded part is.
pressing-task = Powder is pressed in a round die. Friction at its wall takes pressure away along the axis. Find what is left of the punch’s pressure at the far end if one punch moves, and in the middle if both do.
pressing-hint-1 = A slice of the powder is in balance: σ(z) = σ₀ exp(−4 μk z/D).
pressing-hint-2 = If both punches move, the middle is half the height away from either.
pressing-wrong-lost = This is the share that is lost.
pressing-wrong-radius = Half the exponent was taken: with the diameter stands 4, with the radius 2.
pressing-wrong-factor = A quarter of the exponent was taken: friction acts on the whole wall.
pressing-wrong-one = This is pressed from one side. From both sides the powder is pushed over half the height.
