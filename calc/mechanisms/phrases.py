"""What builders say: of what they see, and of what they believe. :mod:`calc.mechanisms.hearing` tells how it is read.

All of it is how the trade speaks, from memory, in American and British words; common practice, no source.
"""

from __future__ import annotations


def _table(text: str) -> dict[str, str]:
    """Names, each with the lines that stand behind it, set in."""
    found: dict[str, str] = {}
    name = ""
    for line in text.strip("\n").splitlines():
        if line.startswith(" "):
            found[name] = f"{found.get(name, '')} {line.strip()}".strip()
        else:
            name = line
    return found


#: Words that mean the same here; those of several words stand one after the other.
CONCEPTS = _table(
    """
ALWAYS
    always; all the time; constantly; continuously; permanent; permanently; non stop; all day; day and night; never
    switch off; never stop; stay on; red hot; far from full; too early; glow
AMPS
    charge; amp; ampere; amperage; ammeter; current; milliamp; output; into the battery; into battery; into the
    bank; battery get; bank get; reach the battery; to the battery
BATTERY
    battery; bank; accumulator; accu; cell; akku; batt; lithium; lifepo; lead acid; agm
BEFORE
    before; used to; did; was; usual; formerly; former; previous; previously; last year; last winter; last summer;
    last autumn; last spring; last month; last season; when new; at first; once; original; in the beginning;
    earlier; since; than it had; gave; it had
BEND
    bend; bent; flex; bow; deflect; droop; floppy
BLADE
    blade; wing; propeller; prop; airfoil; aerofoil; paddle; vane of the rotor
BLEW
    blow; blew; blown; pop; melt; trip; burn; burnt; gone; went; open; failed; fail; goes; keep; broke; broken;
    vaporise; vaporize; rupture
BMS
    bms; battery management; management system; battery electronics; cell electronics; protection board; protection
    circuit; battery protection; electronics; balancer
BRAKE
    brake; stop switch; short the lead; short the wire; short it; short out; shorting; shorted; short the phase;
    short circuit; stop button; kill switch; halt switch; furl rope; brake switch; handbrake; stop lever
BROKE
    break; broke; broken; snap; crack; split; shatter; threw; throw; thrown; lose; lost; came off; come off; flew;
    fly off; depart; miss; gone; torn; tore; tear; burst; fell off; splinter; smash; shed; fracture; sheared; shear;
    disintegrate; exploded; explode; ripped; rip; half a; piece of; bit of; chunk of; detach
CABLE
    cable; wire; lead; conductor; run; wiring; copper; line; flex
CHARGE
    charge; amp; ampere; amperage; ammeter; current; output; yield; milliamp; power; watt; wattage; energy;
    electricity
CHEMISTRY
    gel; agm; flooded; lithium; lifepo; lead acid; sla; nicd; wet cell; chemistry; battery type; sealed; open cell;
    vented
COLD
    frost; frosty; cold; freeze; froze; freezing; below zero; winter morning; nearly full; almost full; full
CONTROLLER
    controller; regulator; charge control; control box; charger; mppt
DEAD
    dead; open; broken; broke; blown; miss; missing; failed; faulty; defective; gone; disconnected; loose; burnt;
    interrupted; out; lost; bad; off; lack; bust; busted; fried; dud; duff; toast; packed up; packed in; snuffed;
    conked out; kaput; given up
DRAW
    draw; use; consume; discharge; drain; load; take; leak; eat; standby; sleeping; on all night; left on; phantom;
    parasitic
DUMP
    dump; dump load; diversion; diversion load; dump resistor; ballast; dump heater; surplus; diverter; divert;
    diverted; surplus heater; heater element; spill load
EDGE
    leading edge; trailing edge; edge; nose; flat side; curved side; hollow side; front side
EMPTY
    flat; empty; low; drain; discharge; run down; ran down; run out; ran out; sink; drop; die; go down; went down;
    never full; not full; half full; flatter; depleted; exhausted; fade
ERODED
    worn; wear; erode; eroded; erosion; rough; chipped; dirty; dirt; pitted; bugs; insects; dull; sandpaper; nicked;
    fouled; furred; ragged; chewed; gnawed; eaten; scuffed; grime; muck; dead insect
FACE
    face; point; turn into; track; follow; head into; look into; swing into; align; weathercock; line up
FAST
    fast; quick; quickly; rapid; race; speed; high speed; highspeed; revs; rpm
FATIGUE
    fatigue; crack; tear; tore; torn; tired; worn; broke; broken; gave way; weak; failed; split; cracked; sheared;
    snapped; gave out
FELL
    fell; fallen; bend; bent; lean; collapse; buckle; topple; kink; tilted; crooked; went over; blew over; blown
    over; crease; came down; come down
FOLD
    fold; furl; swing; tuck; yield
FURL
    furl; fold
FUSE
    fuse; breaker; mcb; circuit breaker; fuselink; fusible link
GIVE
    give; gave; make; made; produce; deliver; yield; generate; put out; do; output; power; watt; current; amp;
    charge; production; performance; perform; harvest; bring
GUY
    guy; guy wire; stay; guywire; shackle; turnbuckle; rigging screw; cable clip; wire rope
HELD
    held; hold; brake; drag; stuck; tie; chained; resist
HIGH
    too high; very high; overcharge; overvoltage; over voltage; keep rise; soar; rise and rise; over 15; above 15;
    15; 16; 17; 18; 30; 31; 32; 33; 60; 62; 64
HITS
    hit; struck; strike; touch; scrape; clip; rub; caught
HOT
    hot; warm; overheat; heat; toasty; boiling; glow; cooked; roasting; roast; sizzle; unsolder
ICE
    ice; icy; iced; rime; icing; hoar; frost; frozen; snow; sleet; glaze; freezing fog; iced up
INVERTER
    inverter; converter; ac side; 230 v; 240 v; 120 v; 110 v; 230; 240; mains side; grid tie; grid tied; gti
JOINT
    joint; connection; connector; terminal; crimp; contact; plug; socket; splice; lug; solder joint; solder; screw
    terminal; block; choc block; clamp; wire nut; wago; ferrule; ring terminal; soldering; bullet connector
LEAN
    thin; small; undersized; under sized; too long; long; light; skinny; narrow; weedy; thinner; gauge
LEG
    phase; leg; lead
LESS
    less; lower; weaker; fewer; worse; poorer; half; third; quarter; two third; reduced; down; drop; fall; fell;
    fallen; lost; lose; decline; deteriorate; dwindle; sink; sunk; decrease; fade; shrink; shrunk; halve
LIGHT
    light; lamp; bulb; lighting
LITTLE
    little; hardly; barely; scarcely; trickle; poor; low; weak; tiny; small; feeble; bad; meagre; meager; measly;
    puny; useless; pathetic; miserable; slow; few; next to nothing; not enough; not much; insufficient; fraction
LOOSE
    loose; bad; poor; corroded; corrode; corrosion; burnt; burned; high resistance; dirty; oxidised; oxidized;
    oxide; oxidation; green; dodgy; faulty; rotten; melted; broken; gone; crumbly; hot; came undone; undone; worked
    loose; resistive; rusty; verdigris; intermittent
MAGNET
    magnet; magnetism; magnetic; neo; neos; neodym; neodymium; ferrite
MAST
    mast; tower; pole; post; pylon; stub mast; tube
METER
    meter; multimeter; clamp; voltmeter; ammeter; gauge; instrument; shunt; dmm; needle; pointer; wattmeter;
    ampmeter; logger; datalogger
MOTOR
    motor; dynamo
NEED
    need; want; require; take
NOISE
    noise; noisy; shake; shook; shaking; vibrate; vibration; hum; buzz; rattle; grind; scrape; knock; thump; clack;
    clatter; clank; squeal; squeak; screech; drone; rumble; growl; wobble; wobbly; tremble; sway; judder; shudder;
    whine; quiver; moan; groan; creak; bang; clunk; swish; racket; din; loud; thud; jitter; clicking sound; ticking;
    throb; buffet; hammer; jangle; quake; flutter; whistle; click; clonk; shimmy; thrum; wail; chatter; howl; roar;
    hiss sound
NONSENSE
    nonsense; no sense; cannot be right; cant be right; cannot be true; cant be true; impossible; strange; odd;
    weird; silly; rubbish; absurd; implausible; wrong; not right; not be right; not true; doubtful; ridiculous;
    puzzling; crazy; unbelievable; not possible; make no sense; not add up; doesnt add up; unlikely; jump about;
    jump around; all over the place; not make sense; doesnt make sense
NOT
    not; no; never; wont; doesnt; didnt; dont; cant; cannot; isnt; arent; wasnt; wouldnt; couldnt; hasnt; havent;
    refuse; fail; without; nor; hardly; unable; too lazy; aint; werent; dosnt; nope; neither
NOTHING
    nothing; zero; none; nil; naught; nought; zilch; next to nothing; no; not; dead; 0; never; hardly; barely;
    doesnt; wont; isnt; didnt
OPEN
    open; miss; missing; disconnected; interrupted; lost; lack; NOT conduct; no longer conduct; open circuit
PART
    generator; alternator; motor; stator; coil; winding; wire; cable; lead; connector; connection; plug; joint;
    terminal; socket; lug; rectifier; bridge; diode; switch; box; crimp; hub; bearing; slip ring; case; brake;
    splice; core; heat sink; heatsink; machine; nacelle
PLASTIC
    plastic; pvc; pipe; resin; grp; fibreglass; fiberglass; glassfibre; abs; polymer; blade
PLUG
    plug; connector; wago; terminal; lug; spade
PROMISE
    promise; claim; advertise; advert; brochure; plan; seller; vendor; maker; manufacturer; rated; rate; specify;
    spec; data sheet; datasheet; nameplate; name plate; sworn; swore; guarantee; calculated; calculate; was told;
    supposed; ought; expect; expectation; should; hope; on paper; leaflet; catalogue; catalog; listing
PROMISED
    promise; claim; rating; number; advert
PUMP
    pump; fridge; freezer; kettle; saw; tool; microwave; compressor; hoover; vacuum; drill; welder; boiler; heat
    pump
READING
    reading; read; meter; display; multimeter; number; figure; value; measurement; measure; voltmeter; ammeter;
    clamp; shunt; instrument; gauge; show; logger
ROTOR
    rotor; propeller; prop; wheel; mill; windmill; turbine; machine; it; she; thing; blade; genny; head; wind
RUB
    rub; scrape; foul; graze; grind; catch; scuff
RUIN
    ruin; damage; swollen; swell; bulge; gas; gassing; boil; crack; split; froze; frozen; destroy; burst; bubble;
    leak; shorted; kaput; wrecked; wreck; cooked; water loss; lose water; use water; dry; fizz; hiss
SET
    set; setting; setpoint; set point; adjust; programme; program; configure; misconfigured; threshold; absorption;
    float; parameter; wrong profile; profile; mode; dip switch
SHOCK
    shock; tingle; zap; jolt; electrocute
SHORTED
    short; shorted; short circuit; shorting; conducts both; both ways; leaky; shortcircuited
SITE
    site; place; spot; here; hedge; wood; tree; house; building; ground; location; valley; hollow; garden
SLOWLY
    slow; slowly; sluggish; sluggishly; lazy; lazily; heavy; heavily; stiff; stiffly; snail; walk pace; crawl;
    treacle; molasses; laborious; labour; half speed; half as fast; lumpy; lumpily
SMALL
    too small; undersized; small; not enough; under sized; too weak; insufficient; too little; more than it can; too
    low; inadequate; not big; not large; not man enough; too few; not up to; too puny; titchy
SMOKE
    smoke; smell; stink; stank; scorch; charred; char; burn; burnt; singe; reek; whiff; fume; lacquer; varnish;
    stench; pong; acrid
SOMETIMES
    sometimes; now and then; occasionally; at times; from time to time; every so often; intermittent;
    intermittently; every few; every now; erratic; erratically; sporadic; off and on; on and off; in and out; comes
    and goes; come and go; randomly; for a while; flicker; stop and start; repeatedly; some days; every other day;
    one day; on other days; fine again; ok again; back again; works again; comes back; by turns; hit and miss;
    temperamental; in bursts; bursts of; for a minute; for ten minutes
SPEED
    fast; speed; rpm; revs; volt per; volts per; turns
START
    start; begin; get go; got go; get it go; get move; move; budge; self start; kick off; come to life; get round;
    spin up
START_LOAD
    surge; inrush; starting current; start current; start surge; starting load; start up current; starting power;
    peak; locked rotor; starting up
STIFF
    stiff; seized; worn; dry; rusty; rust; rusted; tight; gone; shot; rough; drag; bad; broken; grease; lubricate;
    oil; grit; dirt; jammed; knackered; collapsed; sticking; sluggish; greasing; grinding; finished; failing;
    ground; brinelled; gritty; preload; rattly; pitted; bone dry; overtightened; dragging; noisy; shagged; stuffed;
    kaput; wrecked; bust; done for
TAIL
    tail; furl; tail vane; vane; furling
TOO
    too; far too; way too; much too
TRIP
    trip; cut out; cuts out; cut off; shut; shutdown; switch off; switch itself; drop out; stop; beep; alarm; fault;
    error; go off; went off; turn off; dead; quit; conk; drop; refuse; restart; reset; give up; gave up; click off;
    out
TURN
    turn; spin; spun; rotate; rotation; revolve; whirl; run; ran; go round; go around; went round; round and round;
    fly round; fly around; revs; rev; rpm; whizz; whiz; go like mad; blades go; rotor go; rotor move; turn over;
    circle; goes round; going round; wheel round
UNBALANCED
    balance; imbalance; unbalance; unbalanced; imbalanced; out of balance; heavier; lighter; unequal weight;
    lopsided; uneven weight; eccentric
VOLTS
    volt; voltage
WAYROUND
    back to front; backwards; backward; wrong way round; wrong way around; reversed; reverse; wrong way; inside out;
    upside down; wrong side; back side first; facing backwards; flipped; other way round; other way up; other way
    about; mirrored; inverted; transposed; crossed over; wrong way up; wrong end; wrong direction
WEAK
    weak; weaken; feeble; lost; lose; poor; low grade; cheap; too small; too thin; tired; faded; fade; old; age; not
    strong; strength; bad; inferior
WET
    water; wet; damp; moisture; rain; condensation; dew; humid; humidity; soaked; drizzle; soggy; moist; rainwater;
    drenched; damp got; waterlogged; puddle; sodden
WIND
    wind; breeze; gale; storm; gust; hurricane; blow; hooley; bluster; blast
WINDING
    winding; coil; stator; coil group; armature; turns
WORN
    worn; wear; old; age; aged; tired; finished; done for; knackered; shot; had it; past it; end of life; dying;
    spent; weak; ruin; kaput; gone; bad; broken; dead; faulty; defective; failing; sick; lost capacity; toast; duff;
    dud; clapped out; had its day; on its last legs; shagged
WRONG
    wrong; incorrect; bad; badly; false; mistaken; improper; not right; poor; misadjusted; incorrectly; wrongly;
    maladjusted; unsuitable
"""
)

#: What it looks like: phrases each of which says it without doubt.
SEEN = _table(
    """
does not start
    NOT START + !CHARGE + !INVERTER + !into + !PUMP + !FUSE + !TAIL; NOT get go; NOT get TURN; NOT self start; NOT
    TURN + !into + !off + !AMPS + !FACE + !TAIL + !lose; stand still; sit there; just sit; just stand; NEED push;
    NEED shove; NEED help START; until push; unless shove; unless push; no rotation; stay put; like a statue;
    motionless; NOT START TURN; only START + !TRIP + !PUMP; START late; START in gale; START only + !TRIP + !PUMP;
    START hard; hard START; hard to START; difficult to START; idle in; NOT budge + !METER + !AMPS; NOT move + !TAIL
    + !METER + !AMPS; NEED WIND until + !CHARGE + !FURL; NEED WIND before + !CHARGE + !FURL; NEED strong WIND +
    !CHARGE + !FURL; NEED gale + !CHARGE + !FURL; NEED lot of WIND + !CHARGE + !FURL; seized solid + !TAIL + !hinge
    + !yaw; seized up + !TAIL + !hinge + !yaw; NEED WIND to TURN; standstill + !NOT standstill + !BRAKE; stationary
    + !BRAKE; impossible to START; impossible to get TURN
turns slowly or heavily
    TURN SLOWLY + !charge slow + !no wind + !calm + !by itself; SLOWLY TURN + !no wind + !calm + !by itself; TURN as
    if HELD; TURN like HELD; as if HELD; like HELD; sluggish; snail; treacle; molasses; feel brake; feel braked; as
    if brake; brake on + barely TURN; half rpm; rpm half; hard to TURN; hard TURN hand; heavy TURN hand; barely
    TURN; hardly TURN; TURN walk pace; TURN half as fast; half as fast; half speed; crawl; speed too low; rpm too
    low; revs too low; low rpm; low revs; like drag; something HELD back; HELD back + !nothing + !NOT; half the
    revs; half the speed; TURN slow than; slower than + !charge; slower and slower; got slower; getting slower;
    impossible to TURN hand; rotor slow + !BRAKE; slow rotor + !BRAKE
turns but hardly charges
    NOT AMPS + !full + !SOMETIMES + !PROMISE + !hold; hardly AMPS; barely AMPS; AMPS NOTHING + !SOMETIMES; LITTLE
    AMPS; AMPS LITTLE; trickle; TURN + NOTHING CHARGE; TURN + LITTLE CHARGE; TURN + CHARGE NOTHING; TURN + BATTERY
    NOTHING; BATTERY get nothing; get NOTHING into BATTERY; no output; zero output; NOTHING output; TURN + no power;
    no electricity; NOT climb BATTERY; NOT exceed BATTERY; NOT rise above BATTERY; NOT reach charge; NOT up to
    charge; alternator does little; generator does little; generator gives NOTHING; NOTHING useful; NOT useful;
    gives next to nothing; give nothing; make nothing; produce nothing; NOT produce; NOT generate; NOT make power;
    NOTHING come out; nothing arrive; TURN + NOT give; then suddenly nothing; suddenly NOTHING + TURN; TURN +
    BATTERY EMPTY + !INVERTER; TURN all day + flat; TURN + still flat; then NOTHING + TURN + !again; METER NOT move;
    METER NOT budge; AMPS NOT move; TURN + NOTHING juice; no juice + TURN; NOTHING AMPS + !SOMETIMES + !full +
    !hold; METER stays at zero + !VOLTS + !calm
less power than promised
    LESS PROMISE; PROMISE + LESS; PROMISE + only; PROMISE + LITTLE GIVE; PROMISE + NOT near; GIVE + PROMISE + see;
    GIVE PROMISE + get; PROMISE CHARGE + get; expect CHARGE + does; plans say; plan PROMISE; NOT what it should; NOT
    near rated; NOT reach rated; NOT get rated; short of PROMISE; below PROMISE; below spec; under spec;
    underperform; under perform; disappoint; LITTLE GIVE + !AMPS; GIVE LITTLE + !AMPS; less power + !BEFORE; less
    output + !BEFORE; far fewer amp; half of PROMISE; half PROMISE; half the output; half the power; lower than
    PROMISE; too little power; weak in all; weak output; that must be a fault; more was expected; expect more;
    PROMISE + see + CHARGE; thought it would + get; seller + CHARGE; NOT as much as; NOT make more than; NOT above
    CHARGE; never above ten; no increase; GIVE less + !BEFORE + !since; underwhelming; LESS CHARGE + !BEFORE +
    !since + !FUSE
gives less than it used to
    LESS than BEFORE + !PROMISE; LESS than it used; LESS GIVE + BEFORE + !PROMISE; used to + GIVE + now; used to
    GIVE; GIVE LESS since; since + GIVE LESS; since + LESS GIVE; ever since + LESS; power gone down; output gone
    down; output fell + !wind; output dropped + !wind; output has dropped + !wind; power has dropped + !wind; GIVE
    gone LESS; GIVE has LESS; deteriorate; dwindle; year by year; LESS every year; each year LESS; lost power; lost
    output; NOT what it was; NOT as it was; no longer GIVE; NOT any more + GIVE; GIVE fell off; GIVE declin; declin;
    half what it gave; half of what it GIVE; than it did; weaker than last; weaker than BEFORE; former current; LESS
    of former; getting weaker; gets weaker; GIVE gone off; charge is poor since; worse than BEFORE; less since
charging comes and goes
    SOMETIMES + AMPS + !INVERTER; SOMETIMES + NOT charge; intermittent + !noise; comes and goes + AMPS; stop charge;
    charge stop; cut in and out; cuts in and out; flicker + charge; flicker + GIVE; charge cut; cut out + full; cut
    out + wind + !INVERTER; charge drop out; NOT charge + cold; NOT charge + frost; NOT charge + frosty; NOT charge
    + freeze; NOT charge + froze; NOT charge + below zero; no charge + wet; charge + then NOTHING + SOMETIMES;
    charge + on and off; drop off + WET; GIVE drop + WET; AMPS drop + WET; then NOTHING + again; some days NOT; work
    some days + NOT; TURN some days; SOMETIMES work + !BRAKE + !INVERTER + !TAIL + !METER; works SOMETIMES + !BRAKE
    + !INVERTER + !TAIL + !METER; some days + other
blade lost or broken
    BLADE BROKE + !edge + !NOT BROKE + !NOT BLADE; BROKE BLADE + !NOT BROKE + !NOT BLADE; BROKE of BLADE; crack +
    BLADE; tip gone; blade tip gone; tip miss; tip broke; tip of blade; bits all over; bits of blade; piece of
    blade; piece blade; threw blade; throw blade; BLADE root BROKE; BLADE + came off; BLADE flew off; broke into
    splinters; and burst; rotor burst; rotor exploded; rotor disintegrated; blade found; half a blade; found blade;
    blade in the hedge; blade in the field; blade in the garden; blade in the grass; BLADE HITS MAST + BROKE
rotor ran away
    ran away; run away; runaway; overspeed; over speed; oversped; over revs; overrev; TURN TOO fast + !MOTOR; TOO
    fast + frighten; ROTOR TOO fast + !MOTOR; out of control; spun up; TURN wild; TURN wildly; TURN like a mad; like
    a jet; helicopter; frighten speed; frighteningly fast; whistle fast; flew apart; fly apart; dangerously fast;
    insanely fast; TURN crazy; TURN like mad + load; faster and faster; several times speed; several times revs;
    took off and; revs through the roof; speed through the roof; revved to pieces; race + !not + !bearing + !worn;
    ROTOR scream + FAST; howl + FAST; roar + FAST; scream + storm; howl + storm; scream + gale; roar + gale
does not stop when braked
    BRAKE + NOT stop; BRAKE + still TURN; BRAKE NOT hold; BRAKE NOT work; BRAKE no effect; BRAKE no + effect; NOT
    stop + BRAKE; switch no effect; stop switch + NOT; stop switch nothing; NOT brake; BRAKE + keep TURN; NOT stop
    TURN; cannot stop it; cant stop it; cannot be stopped; BRAKE does nothing; BRAKE NOTHING; BRAKE + carries on;
    BRAKE + NOT halt; BRAKE fail; BRAKE + slow down + NOT; BRAKE fade; NOT come to halt; NOT come to rest;
    impossible to stop; BRAKE + only slow; BRAKE only slow
tail folds too early or never
    NOT furl; FURL early; FURL soon; furl TOO; furl already; furl at; furl NOT; NOT fold + TAIL; TAIL NOT FOLD; TAIL
    never FOLD; TAIL stuck; TAIL folded; TAIL sideways; TAIL stay; stay folded; stay furl; TAIL jam; TAIL seize;
    TAIL hang; TAIL NOT move; TAIL NOT return; TAIL NOT come back; TAIL late; furl work NOT; furl no work; TAIL to
    one side; out of the wind at first; TAIL NOT swing; TAIL will not; TAIL keep fold
faces the wrong way
    NOT FACE wind; NOT FACE + !TAIL; FACE wrong way; FACE wrong; wrong way wind; sideways to the wind; across the
    wind; face out of the wind; NOT turn into; NOT turn to the wind; NOT turn towards; NOT follow; NOT track; hunt;
    hunts; yaw + !bearing + !weld + !crack; stuck pointing; head stuck; head stiff; FACE away; backside to wind;
    side on to the wind; side to the wind; stuck facing; keep facing; keep turning away; turn away from wind; NOT
    settle wind; NOT look into; edge on; face out of; wound itself; cable has wound; CABLE + wound round; CABLE
    twisted; turn sideways; swing sideways + !TAIL sideways; FACE downwind; stuck downwind; hangs downwind; CABLE
    twist; twist CABLE; twists round; twisted itself; CABLE wound up; CABLE wound round
burning smell or no voltage
    smoke + !NOT SMOKE + !BATTERY; smell + !NOT SMOKE + !gas + !egg + !sulphur + !sulfur + !acid + !battery; stink +
    !egg + !sulphur + !sulfur + !acid; scorch; charred; char; reek; burnt + !fuse + !contact; burn + !fuse; fume +
    !BATTERY; singe; no voltage; no volt + !BATTERY; zero volt + !BATTERY + !bank; 0 v + !BATTERY; voltage is zero;
    NOTHING volt at lead; NOT VOLTS lead; dead generator; generator dead; generator is dead; alternator dead; no
    volts at; NOT give volt; NOT make volt
something gets hot
    PART HOT + !summer + !BATTERY + !NOT HOT; HOT PART + !BATTERY; PART + hot to touch; PART overheat; PART melt;
    too hot to touch; overheat + !BATTERY; PART + warm to; PART discoloured; PART brown; PART got cook; run hot +
    !NOT HOT + !NOT run; runs hot + !NOT run; gets hot + !BATTERY + !DUMP + !weather + !NOT get + !NOT HOT; get warm
    + !BATTERY + !DUMP + !weather + !NOT get + !NOT HOT
noise or shaking
    NOISE + TURN + !NOT NOISE + !radio; NOISE + !INVERTER + !loud bang + !NOT NOISE + !radio + !went bang + !heard
    bang
mast or guy failed
    MAST came down; FELL MAST; GUY BROKE + !twist + !wound; GUY loose; GUY slack; GUY pull; GUY tore; MAST moved;
    guy wire snap; guy + snap + !twist; slack guy; loose guy; broken guy; MAST topple; MAST gone over; MAST BROKE +
    !HITS MAST; MAST snapped + !HITS MAST; MAST crack + !HITS MAST; gin pole slipped; gin pole collapse; gin pole
    gave; MAST crashed; MAST FELL + !vibrate + !HITS MAST; anchor BROKE; anchor pull; anchor gave; anchor move;
    anchor lift; anchor slip; anchor loose; anchor came; anchor out; foundation BROKE; foundation move; foundation
    lift; foundation sink; foundation gave; collapse + !VOLTS + !GIVE + !BATTERY + !CHARGE + !PART; base plate
    BROKE; base plate FELL; base plate lift; stake pull; stake ripped; stake came; stake gave; stake out; peg pull;
    peg came
battery flat
    EMPTY BATTERY; lights dim; light dim; lamp dim; dim light; never full; NOT full + !nearly; NOT fully; never get
    full; never reach full; NOT reach full; state of charge; soc; NOT hold charge; NOT hold; BATTERY dead every;
    BATTERY dead in morning; ran out of power; run out of power; out of power; BATTERY drop quick; BATTERY die;
    BATTERY run; flat each; flat every; flat by; flat again; flat after; empty by; empty after; BATTERY go down;
    BATTERY lower; BATTERY drain; run the flat; power NOT last; last only; dark by; no power in evening; BATTERY
    undercharg; undercharge; BATTERY EMPTY + !CHARGE NOTHING + !voltage + !METER BATTERY
battery damaged
    smoke + BATTERY; fume + BATTERY; spark + BATTERY;
    BATTERY RUIN + !dry season; RUIN BATTERY; BATTERY swollen; split case; crack case; case bulge; case split;
    bulge; gassing; electrolyte; BATTERY hot; hot BATTERY; lost capacity; lose capacity; cell dead; dead cell; one
    cell; BATTERY killed; killed BATTERY; BATTERY froze; rotten egg; water loss; use water; NOT hold charge any;
    sulphate; sulfate; lost its capacity; topping up; lose water; acid + !lead acid; plates + BATTERY; plates
    showing; plates dry; buckled plates + !base; plates buckled + !base; bare plates; plates exposed; BATTERY acid +
    !lead acid; acid leak; acid spill; acid everywhere; acid BATTERY + !lead acid; acid ran; boil + !kettle + !water
    boil + !DUMP
battery voltage too high
    overcharge; over charge; BATTERY VOLTS HIGH + !right; VOLTS HIGH BATTERY + !right; VOLTS TOO HIGH; VOLTS HIGH on
    BATTERY; volts keep rise; voltage keep rise; voltage keep climb; voltage climb to; voltage too high; volts too
    high; BATTERY voltage high; overvoltage; BATTERY to 15 + !right; BATTERY 16 + !right; BATTERY 30; 15 volt and
    more; VOLTS run away; over 15 VOLTS; above 15 VOLTS; HIGH volt BATTERY + !right; HIGH volt on + BATTERY + !right
    + !24 + !48
dump load cold or always hot
    DUMP NOT + !no dump; DUMP never; DUMP cold; DUMP ALWAYS; DUMP on ALWAYS; DUMP red hot; DUMP stay; DUMP HOT; DUMP
    come on; DUMP run; DUMP NOTHING; DUMP early; DUMP burnt; DUMP TRIP; DUMP heat; DUMP dead; DUMP scream; DUMP NOT
    HOT; DUMP get NOT; DUMP NOT get; heater NOT HOT; heater stay cold; heater never on
inverter cuts out
    INVERTER TRIP; INVERTER + shut; INVERTER + cut; INVERTER + trip; INVERTER + alarm; INVERTER + beep; trip + START
    + !FUSE; low volt alarm; low voltage alarm; undervoltage alarm; INVERTER NOT; INVERTER + low voltage; INVERTER
    restart; INVERTER fault; INVERTER + go off; mains goes off; TRIP INVERTER; low voltage cut
fuse blown
    FUSE BLEW + !NOT BLEW; BLEW FUSE + !NOT BLEW; FUSE trip; trip FUSE; breaker + trip; new fuse; fuse again; third
    FUSE; another FUSE; FUSE after FUSE; FUSE again and again; FUSE this month; FUSE this week
shock or a line that should be dead
    electric shock; live line; dead line; live wire; live frame; still live; were live; is live; are live; live +
    switch off; get a belt; bit me; got a belt off; got a belt from; got zapped; got a kick off; SHOCK + !storm
    shock + !shock load + !absorb + !SHOCK to see + !SHOCK to find + !SHOCK by + !SHOCK at
reading makes no sense
    READING NONSENSE + !way; NONSENSE READING; makes no sense; NOT be right; NOT be true; NOT possible; READING
    should be; READING jump; READING + jump; READING + contradict; READING disagree; disagree; READING differ;
    display + calm; show + in a calm; READING NOT add up; reads + should be; nonsense; READING + calm; two meters;
    meters disagree; NOT agree; reads negative; doubt reading; READING lie; READING NOT match; impossible +
    !impossible to
"""
)

#: What it may look like: phrases that call for a question.
PERHAPS_SEEN = _table(
    """
does not start
    START; TURN; wind; hang; stuck; stand; push; STIFF; breeze; stop; NEED WIND; NEED; seized; belt
turns slowly or heavily
    SLOWLY; HELD; TURN; STIFF; rpm; lag
turns but hardly charges
    AMPS; CHARGE; NOTHING; TURN; ammeter; BATTERY; useless; work; juice; stop; belt
less power than promised
    PROMISE; GIVE; CHARGE; LITTLE; LESS; ROTOR NOT good; happy; poor; works; problem
gives less than it used to
    BEFORE; LESS; since; GIVE; any more; anymore; no longer; lately; got worse; went wrong; gone wrong; getting
    worse
charging comes and goes
    SOMETIMES; cut; COLD; stop; drop; loss; LIGHT; pulse; flicker; disconnect; BMS; BATTERY cut
blade lost or broken
    BLADE; BROKE; tip; root; wing; piece; bang; hit; flew; crash; storm; hail; chunk
rotor ran away
    FAST; TOO fast; scream; whistle; storm; gale; wild; load; noise; revs; disconnect; roof; take off; race; howl;
    roar; helicopter
does not stop when braked
    BRAKE; stop; short; switch; halt
tail folds too early or never
    TAIL; furl; fold; vane; hinge
faces the wrong way
    FACE; wind direction; direction; yaw; head; TAIL; wind; backwards; WAYROUND; sideways; downwind; twist
burning smell or no voltage
    SMOKE; VOLTS; DEAD; lightning; generator; burnt; stop; juice; NOT work; WINDING
something gets hot
    HOT; PART; melt; warm
noise or shaking
    NOISE; sound; feel; loose; hear; strange; bolt; UNBALANCED; pulse; whistle; howl; roar; scream; helicopter
mast or guy failed
    MAST; GUY; FELL; anchor; bolt; storm; crash; foundation; collapse; stake; peg; toppled; lying
battery flat
    BATTERY; EMPTY; light; dark; power; hold; volts low; night; morning; dead; LIGHT; juice; pulse; BMS; VOLTS
    collapse; VOLTS drop; VOLTS sag; METER BATTERY
battery damaged
    BATTERY; RUIN; BATTERY WORN; swell; acid; dead; plates
battery voltage too high
    VOLTS; HIGH; BATTERY; full; charge; disconnect; BMS
dump load cold or always hot
    DUMP; heater; resistor; relay; CONTROLLER; divert; surplus; excess
inverter cuts out
    INVERTER; TRIP; pump; fridge; power cut; ac; mains; alarm; beep; LIGHT; dark; VOLTS collapse; VOLTS sag
fuse blown
    FUSE; BLEW; TRIP; short; bang; spark; dark; LIGHT went out
shock or a line that should be dead
    SHOCK; spark; earth; ground; touch; mains; kick
reading makes no sense
    READING; NONSENSE; meter; amps; VOLTS; differ; false; impossible; says; logger
"""
)

#: What is meant by a cause: phrases of which the one of most words tells. A name without a mechanism in the catalogue
#: is what builders mean and no numbers here tell of; it keeps such words from being taken for another.
MEANT = _table(
    """
charging.never-reached
    TOO fast MOTOR; MOTOR TOO fast; generator TOO fast; alternator TOO fast; TOO fast generator; NOT reach CHARGE;
    cut in speed; cut in; NOT fast enough; TURN TOO SLOWLY for BATTERY; speed TOO low; rpm TOO low; NOT enough
    speed; rpm volt; NEED TOO many rpm; NEED many rpm; TOO many rpm; few volt rpm; few volts per rpm; few volt per
    turn; NOT enough volt; voltage TOO low at speed; NOT high enough volt; generator wound for higher; NOT up to
    charge; NEED gear; wrong kv; kv TOO high; kv; NEED high speed; volts TOO low for BATTERY; more speed; motor TOO
    fast rotor; fast for volt; high speed motor; high rpm motor; rpm motor; wound more turn; TOO few turn; NOT
    enough turn; more turns of wire
charging.stalled
    stall; blades stall; stalled by; BATTERY clamp; voltage HELD; clamp rotor; HELD SLOWLY; HELD slow; load too;
    generator TOO strong; generator TOO heavy; generator TOO big; overloaded by generator; rotor overloaded; TOO
    much load; generator hold back; generator HELD rotor; rotor TOO small for generator; generator TOO stiff;
    generator TOO powerful; alternator TOO strong; tip speed mismatch; runs stalled; BATTERY HELD ROTOR; BATTERY
    HELD SLOWLY; BATTERY HELD SPEED; BATTERY HELD back; BATTERY HELD down; BATTERY drag
charging.cable-loss
    CABLE + LEAN + !inverter + !guy; voltage drop; volt drop; CABLE loss; loss CABLE; lost on the way; lost in
    CABLE; CABLE resistance; CABLE TOO; LEAN CABLE; wire gauge; cross section; drop along; lost along; losing in
    CABLE; losing it in the CABLE; CABLE eats; bell wire; CABLE feeble; CABLE TOO far; long way CABLE; VOLTS lost
    between; VOLTS lost on way; VOLTS lost in CABLE; VOLTS lost along
charging.loose-connection
    LOOSE JOINT; JOINT LOOSE; high resistance JOINT; bad joint; loose connection; loose wire; loose cable; loose
    lead; bad contact; bad connection; loose terminal; dry joint; cold joint; dirty contact; JOINT + resistance;
    crimp; loose screw; poor contact; corrosion on JOINT; JOINT undone; PLUG came; PLUG come; PLUG adrift; PLUG
    fell; PLUG pulled; PLUG undone; PLUG worked loose; wire came out; CABLE came out; battery post LOOSE; LOOSE
    battery post; solder broke; dry solder; dry solder JOINT; solder crack; cracked solder; JOINT corroded; corroded
    JOINT; corroded lug; corrosion JOINT; JOINT corrosion; JOINT + corroded; CABLE corroded + !GUY; corroded CABLE +
    !GUY
rotor.too-stiff-to-start
    cogging; cogging torque; detent; magnet HELD; magnetic drag; magnets stick; TOO stiff to START; stiff to START;
    magnets HELD fast; iron core; hard to START; sticks at magnets; magnetic lock; magnet lock; magnetic stick
site.wind-low
    no wind; little wind; NOT enough wind; wind TOO weak; wind weak; TOO little wind; poor site; poor wind;
    sheltered; sheltered SITE; SITE sheltered; low wind; wind TOO low; NOT windy; windless; lack of wind; wind speed
    TOO low; MAST TOO low; MAST TOO short; MAST to short; MAST to low
site.turbulent
    turbul; turbulent; turbulence; gusty air; disturbed air; behind tree; behind house; behind building; roof wind;
    wind shadow; swirl; dirty air; rough air; confused wind; behind the barn; house block; trees block; building
    block; house is blocking; trees are blocking; hedge block; in the way of the wind; hill block; behind chimney;
    behind the chimney; roof behind; sat on roof; sits on roof; stands on roof; mounted on roof; ROTOR on roof;
    behind wall; upwind trees; trees upwind; behind wood; behind hedge; eddy + !eddy current; eddies + !eddies
    current
bearing.drag
    bear STIFF; STIFF bear; bear; bear is STIFF; worn bear; NEED grease; bear dry; no grease; bear WORN; friction
    bear; bear resist; seal drag; dry bear; without grease; grease gone; grease dried; grease hard
yaw.fault
    yaw STIFF; yaw bear; yaw bear STIFF; STIFF yaw bear; NOT turn into wind; NOT follow wind; NOT face wind; wrong
    way wind; cable twist; twist cable; CABLE + twist; CABLE + twisted off; pendant cable; pendant cable twist;
    pendant; tail TOO small; TAIL TOO short; NOT FACE wind; TAIL area TOO small; TAIL fell off; TAIL lost; head
    STIFF; head stuck
generator.weak-magnets
    MAGNET WEAK; WEAK MAGNET; MAGNET lost; MAGNET lost strength; MAGNET lost magnetism; MAGNET age; MAGNET damaged;
    low flux; MAGNET rust; generator TOO weak; MAGNET have weakened; MAGNET get WEAK; MAGNET wrong grade; air gap;
    air gap TOO; alternator TOO weak; generator weak
generator.winding-burnt
    WINDING burnt; burnt WINDING; burned WINDING; burned out WINDING; burnt out; burned out; burnt stator; stator
    burnt; WINDING short; short WINDING; shorted turns; shorted coil; short in WINDING; short turn; turns shorted;
    stator cooked; cooked stator; generator overheat; stator overheat; WINDING melted; fried stator; fried WINDING;
    interturn; inter turn; WINDING gone; burnt generator; burnt alternator; generator burnt; WINDING cooked; WINDING
    SMOKE; SMOKE WINDING; generator SMOKE; varnish burnt; varnish HOT; burnt varnish; varnish SMOKE; SMOKE varnish;
    varnish brown; varnish + WINDING
generator.phase-open
    phase open; open phase; phase DEAD; DEAD phase; phase miss; lost phase; phase is out; broken lead WINDING; open
    WINDING; broken WINDING; broken lead of three; running on two phase; two phase; single phasing; single phase;
    phase + DEAD; WINDING open; lead + three + DEAD; two of three LEG; 2 of 3 LEG; two of the three LEG; only two
    LEG; only 2 LEG; only 2 of 3 LEG; only two of three LEG; two LEG connected; LEG NOT connected; phase NOT
    connected; one phase + DEAD; missing leg; phase open circuit; WINDING open circuit; generator open circuit; open
    circuit phase; open circuit WINDING
generator.rectifier-overvoltage
    rectifier overvoltage; rectifier voltage; overvoltage; rectifier blown by; rectifier killed; rectifier broken;
    rectifier blown; bridge blown; bridge rectifier; spike killed; voltage spike; rectifier not rated; rectifier
    burnt; lightning rectifier; lightning surge
generator.water
    WET JOINT; JOINT WET; rain JOINT; WET generator; WET box; WET + JOINT; WET + box; WET + stator; WET + slip ring;
    slip ring + WET; WET got in; water ingress; rain got in; drowned; rain got JOINT; WET plug; salt air; salt +
    WINDING; salt got in; full of rain; full of water; PART WET; WET PART; flooded generator; flooded box; PART
    flooded; WET got into; got into WINDING
rotor.overspeed
    ran away; runaway; overspeed; oversped; over speed; TOO fast blade; blade TOO fast; ROTOR ran TOO fast; no load;
    no load on it; load lost + fast; unloaded; nothing connected; lost its load; load was lost; oversped load;
    oversped without load; no load TOO fast; speed blade; TURN TOO fast; faster than the blade; over revved; blades
    TURN TOO fast; load disconnected; ran TOO fast
blade.root-torn
    FATIGUE root; root FATIGUE; fatigue crack; metal fatigue; FATIGUE bolt hole; bolt hole; cracked from screw;
    cracked at screw; root torn; root tore; blade root; FATIGUE screw hole; FATIGUE hole; stress crack; weak root;
    root TOO thin; blade tired; screw pulled; bolts pulled; fatigue + BLADE; fatigue + hub; fatigue + root; fatigue
    + rotor; fatigue + bolt
blade.brittle
    brittle; plastic brittle; PLASTIC brittle; brittle PLASTIC; uv; ultraviolet; sun made; sun aged; sun PLASTIC;
    PLASTIC aged; PLASTIC age; PLASTIC old; PLASTIC sun; embrittled; cold BLADE brittle; weathered PLASTIC; PLASTIC
    aged sun; uv PLASTIC; uv damage; frost blade; sunlight; uv degrade
blade.tip-strike
    blade HITS MAST; HITS MAST; HITS guy; HITS tower; tip strike; tip HITS; blade flex MAST; blade flexed HITS;
    flutter; blade bent back; blade flexed; blades flexed and HITS MAST; blade TOO flexible; tip clearance; blade
    HITS; blade TOO soft; BLADE touched MAST; BLADE BEND MAST; BEND into MAST; BEND toward MAST; BEND against MAST;
    BEND + into MAST; BLADE BEND into MAST; TOO soft + into MAST; BEND back into; PLASTIC BEND MAST; PLASTIC TOO
    soft; BLADE TOO BEND; TOO BEND + HITS
mast.overload
    MAST overload; MAST weak; MAST TOO weak; guy TOO; GUY loose; loose GUY; anchor pulled; guy broke; GUY FELL; weak
    MAST; anchor gave; MAST bent; MAST gave way; MAST not strong; GUY slack; slack GUY; GUY gave way; MAST collapse;
    MAST FELL; weld BROKE; weld + MAST; MAST weld; shackle undone; turnbuckle undone; GUY undone; GUY unscrewed; GUY
    bolt; weld crack; weld gave; foundation BROKE; foundation gave; foundation move; foundation lift; foundation
    TOO; weak foundation; shackle BROKE; shackle open; shackle gave; shackle came; shackle bolt; shackle bent; ICE
    MAST; ICE GUY; ICE + MAST; ICE + GUY; corroded GUY; GUY corroded; rusty GUY; MAST rusted; GUY rusted; fatigue +
    weld; fatigue + MAST; fatigue + GUY; overload + MAST; stake pull; stake gave; stake rotted; peg pull; stake
    ripped; stake came; weak stake; stake TOO; corroded MAST + !JOINT + !CABLE + !lug; MAST corroded + !JOINT +
    !CABLE + !lug; rusty MAST + !JOINT + !CABLE + !bearing
vibration.imbalance
    UNBALANCED; UNBALANCED blade; blade UNBALANCED; UNBALANCED rotor; rotor UNBALANCED; out of balance; blade
    heavier; one blade heavier; one blade lighter; blade loose; blade is loose; loose blade; NOT balanced; NOT
    balance; vibrate; vibration; one blade longer; blade weight differ; blade out of track; BLADE tracking; tracking
    of BLADE; ROTOR shake; ROTOR vibrate
vibration.resonance
    resonance; resonate; resonant; natural frequency; own frequency; MAST resonate; MAST resonance; resonance MAST;
    eigenfrequency; MAST frequency; critical speed; MAST swing with; MAST TOO soft; MAST too flexible; MAST TOO
    springy; roof resonate
battery.overcharged
    overcharge; over charge; boil; gassing; no control; no charge control; no regulator; no CONTROLLER; no dump; no
    dump load; DUMP missing; without dump; BATTERY boiled; charged TOO much; no dump load fitted; voltage TOO high
battery.starved
    sulphate; sulfate; sulphation; sulfation; never full; NOT full; stood flat; undercharge; loads TOO; TOO many
    loads; DRAW more than; using more than; more DRAW than; loads more than; TOO much DRAW; TOO much load on
    BATTERY; plates sulphate; plates sulfate; deep discharge; TOO deep; left flat; DRAW more than wind; consumption
    TOO; demand more than; load bigger than; we use TOO much; left discharged; starve + !wind; starved of charge
battery.frozen
    BATTERY froze; BATTERY frozen; frozen BATTERY; frost BATTERY; ice BATTERY; froze solid; electrolyte froze
battery.electronics-opened
    BMS; BMS cut; BMS cut out; BMS cut off; BMS trip; BMS off; BMS disconnect; disconnected itself; BMS block; BMS
    opened; BATTERY switch itself off; protection cut; BMS cutout; BMS shut; BMS broken; BATTERY cut off;
    electronics cut off
battery.cut-off-cold
    BMS + cold; BMS + below zero; BMS + frost; BMS + freezing; BATTERY TOO cold; cell TOO cold; lithium cold;
    lithium + below zero; BMS block + cold; BMS + NOT charge + cold; BMS block + below zero; BMS cut off + cold;
    cold BATTERY NOT charge; low temperature; temperature cut; BATTERY cold; BMS + temperature; BMS cut off +
    temperature; BMS + low temperature; low temperature + !BMS
battery.cut-off-high
    BMS + full; BMS + high; cell full; cell TOO high; cell overvoltage; BMS overvoltage; BMS cut off + full; full
    BMS; BMS cut off + high; BMS + overvoltage; one cell full early
battery.cut-off-low
    BMS + empty; BMS undervoltage; BMS + undervoltage; BMS cut off + empty; cell TOO low; low voltage protection;
    BMS + asleep; BMS asleep; BMS cut off + flat; BMS + flat; BMS + low + !temperature; BMS cut off + low +
    !temperature
dump.failed
    DUMP SMALL; DUMP TOO; DUMP relay; DUMP burnt; DUMP burnt out; DUMP DEAD; DUMP fail; diversion; DUMP WRONG;
    heater SMALL; heater TOO; heater undersized; DUMP resistor broken; DUMP NOT connect; DUMP NOT work; relay stuck;
    DUMP CONTROLLER
inverter.low-voltage
    voltage sag; voltage TOO low inverter; undervoltage; under voltage; low voltage; voltage dropped; voltage fell;
    voltage below; inverter starved; low battery voltage; BATTERY sag; VOLTS sag; sag + INVERTER; sag + voltage; sag
    + BATTERY
inverter.cable
    INVERTER CABLE; INVERTER CABLE LEAN; CABLE INVERTER; LEAN CABLE INVERTER; CABLE + INVERTER; LEAN + CABLE +
    INVERTER; voltage drop INVERTER; INVERTER lug; hot lug; lug LOOSE; LOOSE lug; INVERTER JOINT; JOINT + INVERTER;
    LOOSE JOINT INVERTER; battery lead TOO LEAN; LEAN battery lead
inverter.surge
    inrush; START_LOAD TOO; START_LOAD + INVERTER; START_LOAD + more; INVERTER SMALL; INVERTER overload; inverter
    TOO weak; PUMP TOO big; PUMP START TOO much; PUMP TOO much; inverter NOT big; start TOO much; inverter faulty;
    inverter broken; surge + !lightning; overload + INVERTER; overload + PUMP; START_LOAD + !lightning
fuse.gust-current
    gust current; more current FUSE; FUSE SMALL; SMALL FUSE; overcurrent; storm current; gust FUSE; FUSE BLEW; BLEW
    FUSE; FUSE rating; over current; gust + current; gusts drove; fuse too small; FUSE too weak; FUSE gone; FUSE
    rated; FUSE value; FUSE TOO small; FUSE TOO weak; FUSE TOO low; FUSE TOO light
fuse.inverter-start
    INVERTER FUSE; FUSE INVERTER; PUMP FUSE; FUSE PUMP; FUSE + START_LOAD; FUSE BLEW PUMP; FUSE BLEW INVERTER
fuse.short-circuit
    short circuit; chafe; chafed CABLE; reverse polarity; BATTERY WAYROUND; BATTERY reversed; wires touched; CABLE
    touched; CABLE chafed; insulation worn; insulation damaged; BATTERY connected WAYROUND; dead short; touching
    wires; bare wires; FUSE short; plus and minus swapped; polarity reversed
house.back-feed
    back feed; backfeed; back fed; two plug; suicide lead; fed from behind; islanding; socket fed; double male
reading.wrong
    open voltage; no load voltage; misread; read instead; read phase instead; read line; measured instead; wrong
    pair; read between wrong; phase instead of; line instead of; star point; units mixed; measured wrong; wrong
    measure; measurement error; METER WRONG connected; shunt WAYROUND; METER WAYROUND; shunt backwards; METER wired
    WAYROUND; shunt wired WAYROUND; METER broken; METER drift; METER lies; METER out of calibration
reading.not-true-rms
    true rms; rms; METER NOT true; METER NOT true rms; cheap METER; METER cheap; average reading METER; METER + rms;
    NOT true rms; chopped current; waveform; wave form
reading.wrong-range
    wrong range; METER range; METER wrong range; wrong jack; wrong socket METER; wrong scale; ac range; measured ac;
    METER on ac; METER leads; probe resistance; lead resistance METER; wrong setting METER; METER SET WRONG; METER
    on wrong; resistance of the probe; METER jack
reading.meter-battery
    METER battery; meter's battery; METER battery flat; METER battery EMPTY; METER battery WEAK; battery in METER;
    battery of METER; METER + battery EMPTY; meters battery is flat; low battery METER; METER battery low; METER
    BATTERY DEAD; METER BATTERY WORN; METER + cell EMPTY; METER + cell DEAD; METER cell WEAK; 9 volt DEAD; 9 volt
    battery + METER
sound.too-much-expected
    TOO much expected; expect TOO much; expected TOO much; TOO little wind for wheel; wheel TOO small; rotor TOO
    small; for wheel this size; for rotor this size; nothing wrong; expectation TOO high; TOO high expectation; is
    normal; quite normal; perfectly normal; TOO little wind for size; sound machine; all it can; hoped for TOO much;
    swept area TOO small; nothing is wrong; as good as it gets; NOT more in that wind; TOO little wind for wheel
    this size; small rotor; ask TOO much; asking a lot; want TOO much; ask TOO much from; ask TOO much of; demand
    TOO much of; TOO much hope; TOO much to ask; hoped for more; dreaming; wishful
site.wind-overestimated
    wind overestimated; overestimate wind; overrated wind; less wind; less wind than; wind was less; wind less than;
    weather app; weather station; airport wind; forecast; wind forecast; wind app; app says; wind map; wind atlas;
    wind guessed; misjudged wind; wind overrated; wind NOT as strong; wind weaker than; wind lower than; less wind
    than thought; wind speed guessed; airport; met office; weather office
claim.too-high
    PROMISED TOO; advert; advertise; advertising; exaggerate; fairy tale; unrealistic; rating optimistic; brochure;
    claim fairy; claim nonsense; overstated; claim exaggerated; marketing; seller lied; PROMISED TOO high; PROMISED
    exaggerate; nameplate TOO; rated for more wind; seller's number; pie in the sky; optimistic + !wind + !forecast
generator.demagnetised
    demagnetised; demagnetized; demagnetise; demagnetize; demag; demagnetisation; demagnetization; MAGNET heat;
    MAGNET hot; MAGNET lost heat; MAGNET lost strength from heat; MAGNET strength heat; heat MAGNET; MAGNET
    overheat; knocked the MAGNET; short circuit MAGNET; MAGNET cooked; curie; MAGNET lost + heat; short circuit +
    MAGNET; MAGNET + knocked back; MAGNET + WEAK + heat; MAGNET weakened by heat; MAGNET weakened by short; lost
    magnetism + heat; MAGNET lost magnetism + heat; MAGNET lost magnetism + hot; MAGNET HOT; HOT MAGNET; MAGNET
    cooked lost; MAGNET HOT lost; MAGNET + HOT + lost
generator.phase-reversed
    phase reversed; phase backwards; phase WAYROUND; WINDING WAYROUND; reversed WINDING; reversed phase; one phase
    WAYROUND; WINDING reversed; connected backwards; one WINDING WAYROUND; WINDING connected WAYROUND; one WINDING
    connected WAYROUND; WINDING group WAYROUND; wired WINDING WAYROUND; phase polarity; WINDING group connected
    WAYROUND; start and end swapped; WINDING start end swapped; wired one WINDING group WAYROUND; phase swapped;
    swapped phase; swapped start; swapped start finish; start finish of WINDING; start finish of phase; WINDING
    start finish; WINDING ends swapped; one WINDING upside; phase ends swapped; phase flipped; WINDING start end;
    WINDING other way; phase + WAYROUND; WINDING + WAYROUND; WAYROUND + one WINDING
generator.leads-swapped
    leads swapped; swapped lead; two leads swapped; wires swapped; swapped wires; wrong order; wires in wrong order;
    lead order; wire order; phase order; phases swapped; phase sequence; lead mixed up
rectifier.diode-open
    diode open; open diode; half rectifier; half bridge; one leg of rectifier; diode OPEN; OPEN diode; diode blown
    open; bridge OPEN; rectifier OPEN; diode NOT conduct; diode gone open; half the diodes
rectifier.diode-shorted
    diode SHORTED; SHORTED diode; rectifier SHORTED; SHORTED rectifier; bridge SHORTED; SHORTED bridge; diode leaky;
    diode conducts both ways; diode short circuit; diode fused; rectifier short circuit; diode + short; diode gone
    short; rectifier + short
generator.earthed
    WINDING earth; WINDING touch frame; WINDING touch; WINDING to ground; earth fault; ground fault; insulation
    fault; earthed WINDING; grounded WINDING; WINDING shorted frame; WINDING shorted to frame; leak to frame; leak
    to earth; WINDING grounded; insulation gone; WINDING touch frame of; insulation failed; insulation BROKE; CABLE
    touch case; copper touching case; WINDING touch case; CABLE touching the case; WINDING + frame
generator.magnets-loose
    MAGNET loose; loose MAGNET; MAGNET came off; MAGNET come off; MAGNET has come off; MAGNET fell off; MAGNET
    moved; MAGNET detached; MAGNET shifted; MAGNET rub; MAGNET flew off; MAGNET unglued; MAGNET touching; MAGNET
    glue; glue MAGNET; glue + MAGNET; RUB WINDING; RUB on WINDING; WINDING RUB; RUB stator; ROTOR RUB; MAGNET RUB
    WINDING; ROTOR RUB WINDING; air gap TOO small; air gap closed; ROTOR RUB on stator; MAGNET + unglued; MAGNET +
    glue
charging.slip-rings
    slip ring; slip rings; dirty slip ring; slip ring WORN; slip ring dirty; slip ring brush; brush slip ring; worn
    slip ring; worn brush slip ring; slip ring contact; slip ring pitted; slip ring ERODED; slip ring LOOSE; ERODED
    slip ring; dust slip ring; slip ring dust; collector ring; dust collector ring; carbon dust; brush dust; slip
    ring worn brush
generator.belt-slips
    belt; belt slip; belt loose; loose belt; belt WORN; worn belt; slip belt; belt tension; pulley
generator.field-dead
    no field; field DEAD; no excitation; excitation; field current; no field current; NOT excited; exciter; field
    winding; field WINDING DEAD; field circuit; excite
sound.battery-full
    BATTERY full; BATTERY already full; full BATTERY; BATTERY charged already; BATTERY topped; topped up; float +
    BATTERY; BATTERY in float; on float
generator.driven-by-battery
    no blocking diode; blocking diode; runs as a motor; run as motor; BATTERY drive; BATTERY spin; BATTERY turn the;
    motoring; motors the; back into the generator; back through the generator; back into the motor; reverse current
generator.field-drains
    field drain; field left on; field DRAW; excitation drain; field current drain; field always on
blade.wrong-angle
    pitch; blade angle; angle of blade; pitch WRONG; wrong pitch; blade angle WRONG; blade set TOO; blades set
    WRONG; TOO coarse; TOO flat; blade TOO flat; wrong angle; angle of attack; pitch TOO; blades set flat; BLADE at
    degree; BLADE SET degree; BLADE degree + instead; BLADE degree + want; BLADE degree + should; BLADE angle off;
    pitch off; degree instead of; BLADE twist WRONG; twist WRONG; wrong twist; BLADE SET degree where
blade.back-to-front
    BLADE WAYROUND; BLADE on WAYROUND; rotor WAYROUND; rotor backwards; BLADE mounted WAYROUND; BLADE back to front;
    BLADE fitted WAYROUND; TURN WAYROUND; BLADE put on WAYROUND; turns wrong way round; wrong direction of rotation;
    EDGE WAYROUND; EDGE + WAYROUND; EDGE swapped; swapped EDGE; EDGE + swapped; trailing edge first; flat side
    first; BLADE WAYROUND EDGE; flat side to the wrong; trailing edge FACE; trailing edge lead; trailing edge front;
    EDGE into wind WRONG
blade.ice
    ICE BLADE; BLADE ICE; ICE rotor; ICE on BLADE; frozen rime rotor; ICE + BLADE; ice build up; frost on blade; ICE
    EDGE; ICE BLADE EDGE; ICE on EDGE; ICE + !MAST + !GUY + !BATTERY + !yaw + !hinge + !bearing; ICE ROTOR
blade.worn
    BLADE ERODED; ERODED BLADE; edge ERODED; ERODED edge; leading edge ERODED; blades worn; dirt on blade; BLADE
    dirt; dirty blade; bugs on blade; leading edges are ERODED; rough edge; BLADE rough; EDGE ERODED; ERODED EDGE
furling.early
    FURL early; FURL TOO early; FURL soon; FURL TOO soon; TAIL TOO light; furls in light wind; TAIL TOO weak; TAIL
    folds TOO early; offset TOO big; offset TOO large; TAIL weight TOO small; spring TOO weak
furling.never
    NOT furl; FURL NOT work; FURL late; FURL TOO late; TAIL TOO heavy; TAIL NOT FOLD; FURL NOT work TAIL TOO heavy;
    wrong TAIL area; TAIL area; offset TOO small; FURL NOT; FURL NOT work because; TAIL folds TOO late; spring TOO
    strong
furling.seized
    hinge STIFF; TAIL hinge; TAIL hinge STIFF; hinge of TAIL; hinge of TAIL STIFF; TAIL STIFF; hinge stuck; hinge
    jammed; hinge rusted solid; TAIL pivot; TAIL pivot STIFF; TAIL stuck; TAIL stuck folded; stuck folded; TAIL stay
    folded; TAIL jam; TAIL jam folded; NOT unfold; TAIL NOT come back; TAIL folded; stuck in furl; hinge seize;
    seized hinge; hinge rust; hinge bind; binding hinge; hinge tight; hinge jam; rusty hinge; hinge gall; hinge pin
    STIFF
brake.does-not-hold
    BRAKE switch; BRAKE switch resistance; resistance BRAKE; resistance BRAKE switch; BRAKE switch contact; switch
    contact; BRAKE LEAN; BRAKE CABLE; BRAKE contact burnt; brake leads; BRAKE NOT hold; NOT brake; brake left; brake
    half on; brake switch left half on; BRAKE switch contacts burnt; BRAKE + resistance; BRAKE still on; brake on;
    short circuit brake; BRAKE NOT stop; BRAKE TOO weak; BRAKE torque; BRAKE + torque; BRAKE weak; BRAKE NOT strong
controller.set-wrongly
    CONTROLLER SET; CONTROLLER SET WRONG; CONTROLLER WRONG; wrong SET; wrong SET CONTROLLER; SET + CONTROLLER; wrong
    SET in CONTROLLER; SET TOO low; SET TOO high; set for lithium; set for lead; wrong charge profile; CONTROLLER
    SET TOO; WRONG SET of CONTROLLER; charge voltage SET; CONTROLLER adjusted; regulator broken; regulator faulty;
    regulator DEAD; SET for CHEMISTRY; SET to CHEMISTRY; setpoint + CHEMISTRY; profile + CHEMISTRY; CONTROLLER for
    CHEMISTRY; CONTROLLER SET CHEMISTRY; wrong CHEMISTRY; absorbtion; voltage SET wrong; for another CHEMISTRY;
    wrong curve; default curve; CONTROLLER curve; CONTROLLER table; CONTROLLER default; factory SET; default SET
battery.worn
    WORN BATTERY; BATTERY WORN out; BATTERY is WORN; BATTERY too old; old BATTERY; BATTERY ruined; BATTERY are WORN;
    BATTERY is finished; BATTERY lost capacity; lost capacity; capacity gone; BATTERY old and WORN; BATTERY end of
    life; capacity lost; BATTERY has had it; scrap BATTERY; BATTERY scrap; BATTERY past it; dead cell + !METER; cell
    dead + !METER; weak cell + !METER; bad cell + !METER; cell weak + !METER; cell bad + !METER; bad battery +
    !METER; BATTERY weak + !METER; BATTERY WORN + !WORN CABLE + !new BATTERY + !WORN CONTROLLER + !METER
battery.too-small
    BATTERY SMALL; SMALL BATTERY; BATTERY TOO SMALL; BATTERY TOO small for; capacity SMALL; NOT enough battery; NOT
    enough capacity; battery bank SMALL; NEED bigger battery; NEED more battery; BATTERY undersized; BATTERY TOO
    small for house
load.phantom
    phantom; phantom load; parasitic; standby; something DRAW; something DRAW current; DRAW all the time; DRAW at
    night; something left on; left on; light left on; something DRAW BATTERY; hidden load; always on; vampire;
    quiescent; something DRAW all the time; DRAW current at night; inverter standby; idle current; INVERTER DRAW +
    nothing; INVERTER DRAW + idle; INVERTER DRAW + night; INVERTER left on; INVERTER idle; idle draw; own
    consumption; DRAW while idle; DRAW doing nothing; INVERTER DRAW doing nothing; on all night; on day and night;
    INVERTER DRAW with nothing; INVERTER consumption; PUMP on all; PUMP left on; PUMP always on; PUMP clock; PUMP
    day and night; around the clock; round the clock
battery.strings-uneven
    old and new BATTERY; mixed BATTERY; BATTERY mixed; mixed old new; strings mixed; old and new strings; old and
    new strings mixed; mixed old and new BATTERY; different BATTERY; unequal strings; BATTERY NOT matched; parallel
    strings; unbalanced strings; string unequal; cells out of balance; cell imbalance; BATTERY UNBALANCED; string
    NOT equal; string NOT alike; string differ; new BATTERY parallel; BATTERY parallel old; new + old + parallel;
    mixed BATTERY age; BATTERY of different age; old ones with new; new ones with old; new + old + parallel +
    BATTERY
"""
)

#: What may be meant: phrases that call for a question.
PERHAPS_MEANT = _table(
    """
charging.never-reached
    generator; MOTOR; speed; volt; TOO slow; gear
charging.stalled
    blade; generator; load; battery; BATTERY HELD
charging.cable-loss
    CABLE; long; thin; loss; drop; metre of CABLE; CABLE section; CABLE LEAN; VOLTS lost
charging.loose-connection
    JOINT; LOOSE; switch; CABLE; wiring; WET; corroded; rust; polarity; came loose
rotor.too-stiff-to-start
    stiff; magnet; START; friction
site.wind-low
    wind; SITE; weather; bad SITE; calm; weak; starve
site.turbulent
    wind; gust; SITE; roof
bearing.drag
    bearing; turns hard; seized; friction; grease; oil; mechanical; brush; brushes; brushes worn; rust; STIFF; dry
yaw.fault
    TAIL; head; wind direction; twist; FACE; yaw; tracking; hinge
generator.weak-magnets
    MAGNET; generator; alternator; weak; flux; bad generator; bad alternator; strength; power
generator.winding-burnt
    burnt; coil; WINDING; overheat; short; lightning; generator; alternator; overload; SMOKE; stator; varnish
generator.phase-open
    rectifier; diode; WINDING; phase; lightning; phase problem; one phase; leg; three; connected; open circuit
generator.rectifier-overvoltage
    rectifier; bridge; lightning; diode; surge
generator.water
    WET; corroded; weather; rust; flooded; JOINT; WET in
rotor.overspeed
    fast; load; storm; wild; wind; CONTROLLER OPEN; open circuit
blade.root-torn
    crack; blade; bolt; weak; wood; bird; fatigue; root; flex; fibre
blade.brittle
    PLASTIC; old; cold; blade; frost; sun
blade.tip-strike
    HITS; blade; bird; stone; guy; BEND; soft; MAST
mast.overload
    MAST; GUY; storm; wind; anchor; weak; weld; base; clay; TOO weak; fatigue; ICE; corroded; foundation; shackle;
    overload; rust; stake; peg
vibration.imbalance
    shake; vibrate; loose; blade; NOISE; rotor; tracking; more than the rest; varnish; paint
battery.overcharged
    BATTERY; voltage; CONTROLLER
battery.starved
    BATTERY; load; flat; DRAW; starve; crust; plates
battery.frozen
    BATTERY; ICE; cold; WET
battery.electronics-opened
    BATTERY; electronics; cold; disconnect
dump.failed
    DUMP; heater; CONTROLLER; relay; CONTROLLER DEAD; CONTROLLER broken; CONTROLLER fail; CONTROLLER faulty;
    CONTROLLER OPEN; fet; mosfet; surplus
inverter.low-voltage
    INVERTER; BATTERY; voltage; sag
inverter.surge
    INVERTER; PUMP; START; load; surge; overload
fuse.gust-current
    FUSE; current; breaker; storm; gust; FUSE TOO
fuse.inverter-start
    FUSE; INVERTER
fuse.short-circuit
    short; FUSE; WAYROUND; wiring; shorted; polarity; fuse; rubbed through; CABLE RUB
house.back-feed
    house; mains; plug; grid
reading.wrong
    READING; METER; wrong; WRONG; read; METER DEAD; METER WRONG; polarity; backwards; minus
claim.too-high
    PROMISE; small; rotor; expected; claim; seller; promise
sound.too-much-expected
    expect; small; normal; wind; blade TOO small; BLADE SMALL; TOO much; ask; hope; want; rotor
site.wind-overestimated
    wind; forecast; guess; station; map
reading.not-true-rms
    METER; wave
reading.wrong-range
    METER; range; scale; probe
reading.meter-battery
    METER; METER BATTERY
generator.demagnetised
    MAGNET; heat; cook; overheat; HOT; strength
generator.phase-reversed
    phase; WAYROUND; WINDING; wiring; wired; polarity; start; finish; swapped; poles
generator.leads-swapped
    swap; order; phase; wiring
rectifier.diode-open
    rectifier; diode; bridge; lightning; diode DEAD; rectifier DEAD; bridge DEAD; DEAD diode
rectifier.diode-shorted
    rectifier; diode; bridge; lightning; short; WAYROUND; diode DEAD; rectifier DEAD; bridge DEAD; DEAD diode
generator.earthed
    earth; frame; insulation; WINDING; ground; RUB; case
generator.magnets-loose
    MAGNET; rub; scrape; loose; RUB; stator; WINDING
charging.slip-rings
    ring; brush; twist; commutator; slip; carbon; dust; brush spring; brush WEAK
generator.belt-slips
    slip; gear
generator.field-dead
    field; brush; generator; brush spring; brush WEAK
sound.battery-full
    full; dump; controller; float
generator.driven-by-battery
    diode; motor; backwards current
generator.field-drains
    field; DRAW
blade.wrong-angle
    blade; angle; profile; carve; twist; shape; blade TOO small; blade TOO short; blade profile; bad blades; BLADE
    SMALL; blades badly made; degree; TOO much BLADE; EDGE
blade.back-to-front
    blade; WAYROUND; direction; EDGE; swapped; trailing edge; EDGE FACE
blade.ice
    cold; frost; blade; winter; freezing; rime; ICE
blade.worn
    blade; ERODED; edge; carve; leading edge; erosion; EDGE
furling.early
    TAIL; FURL; vane; hinge
furling.never
    TAIL; FURL; vane; hinge
furling.seized
    TAIL; hinge; STIFF; pivot
brake.does-not-hold
    BRAKE; switch; torque; BRAKE contact; contact
controller.set-wrongly
    CONTROLLER; SET; dump; CHEMISTRY; WET; curve; mppt; float; CONTROLLER OPEN
battery.worn
    BATTERY; worn out; capacity; corroded; plates; years old; crust
battery.too-small
    BATTERY; capacity; SMALL; house; cold; BATTERY hold
load.phantom
    DRAW; load; night; INVERTER DRAW; nothing; idle
battery.strings-uneven
    BATTERY; string; mix; cell
battery.cut-off-cold
    BMS; cold; BATTERY; electronics; lithium; lifepo; minus; freezing
battery.cut-off-high
    BMS; BATTERY; electronics
battery.cut-off-low
    BMS; BATTERY; electronics
inverter.cable
    INVERTER; CABLE; lug
vibration.resonance
    MAST; shake; vibrate; thin; NOISE; tracking
"""
)

#: Plain words so like one that is looked for that they would be taken for it mistyped.
PLAIN = """
header through thorough stream contract detect inspect product difference differently attach attached winner
nearby sticky tricky trick scatter conduit interior decent vanish vanished linger terminate insert resolve
compression guarantee fairly stormy hardest weigh weighed explore delivery projection revert strand accumulate
general marker change changed changes changing sorted shared correction corrections collection collections
alternative inverted tuning stepped friend friends leaving storing shorter electrician overhead contention boring
popularity stacking clutter cluttering original originally misleading winning parsed generation convention mistake
regulation continuous printing starred conception phrase phrases protecting compressed consumer larger tried
specified metre metres
"""
