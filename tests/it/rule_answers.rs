//! For every shipped rule card one natural right answer and one natural wrong one, as an apprentice types.
//!
//! The answers are our own: common practice, no source.

/// (question, right answer, wrong answer), in the order of the decks.
pub(crate) const ANSWERS: &[(&str, &str, &str)] = &[
    (
        "A wet board is on the bench, every source off, nothing recorded yet. What do you do before any brush touches it?",
        "photos of both sides, then a pass under the microscope",
        "brush it with IPA so I can see the parts",
    ),
    (
        "Why do you look at a contaminated board before you clean it?",
        "cleaning washes away the traces that show where the liquid went",
        "because a dirty board shorts when you power it",
    ),
    (
        "Green residue bridges the pins of a fine-pitch part, and nothing is diagnosed yet. What do you do, and what goes in the record?",
        "take a picture, clean just that spot, note that it was cleaned early",
        "give the whole board a good wash, then measure",
    ),
    (
        "Contamination is so heavy that every reading leaks and drifts. How do you go on?",
        "photos first, then clean the whole thing and dry it, and mark readings as after cleaning",
        "keep measuring and take the average",
    ),
    (
        "A sticky film covers the board, no residue shows under the microscope, and the fault comes and goes. Measure first or clean first?",
        "clean it, dry it, then diagnose",
        "measure first, cleaning destroys evidence",
    ),
    (
        "No sign of liquid, no earlier work on it, and a colleague reaches for the cleaner. What do you do instead?",
        "don't clean, measure the draw and the inlet first",
        "clean it anyway, it never hurts",
    ),
    (
        "Under the microscope a joint is dull and half eaten. The board needs a bath later. What do you do with that joint, and when?",
        "reflow it with flux before it goes in the bath",
        "wash it first and see if the joint is still there",
    ),
    (
        "One telltale spot sat on a part that tests good. What do you do about the spot, and about the circuit round it?",
        "write it down and treat that circuit as still suspect",
        "part is fine so forget it",
    ),
    (
        "You are on the microscope pass of a board that was wet. Which three kinds of findings do you mark?",
        "residue, dull joints, and any parts that are gone",
        "the part numbers of the big chips",
    ),
    (
        "Fresh from the sea, and the queue is two days long. Can it wait as it is?",
        "no, it keeps corroding. photos, then rinse the salt off now and note it",
        "yes, leave it so the evidence stays",
    ),
    (
        "The repair is done and the unit goes to cleaning. What is the very first step?",
        "disconnect everything: supply off, battery and coin cell out",
        "get a fresh brush and the flux remover",
    ),
    (
        "Which things do you take off or protect before a board goes in the ultrasonic tank?",
        "the coin cell, microphones, relays, pressure sensors, the display",
        "nothing, just dunk it and take it out after 5 min",
    ),
    (
        "There is coating over the place to be repaired. What do you find out before you try a solvent on it?",
        "identify the coating, acrylic comes off with alcohol, silicone and parylene don't",
        "how thick it looks",
    ),
    (
        "Which cleaner do you take to get flux off after soldering?",
        "whatever the flux manufacturer says for that flux",
        "the strongest one on the shelf",
    ),
    (
        "You brush and swab a board clean. In what direction, and when do you take another swab?",
        "work from the clean end toward the dirty end, new swab every pass",
        "round and round until the swab is black",
    ),
    (
        "Corrosion is still there after the flux is gone. What takes it off, and what do you rinse with?",
        "mild water based cleaner with a brush, rinse with DI water",
        "more alcohol and a tap water rinse",
    ),
    (
        "Which fluid goes in our ultrasonic tank, and for which tank does that hold?",
        "only water based fluid the tank is rated for",
        "isopropanol, it dries faster",
    ),
    (
        "Rinse water is left under the parts. How do you get it out, without an oven yet?",
        "flush with fresh IPA and a brush, in good ventilation, cold",
        "blow hot air at it until it steams",
    ),
    (
        "The last rinse was alcohol. When may the board go in the drying oven?",
        "not until all the alcohol has evaporated",
        "straight away, the heat drives it out",
    ),
    (
        "How hot may a board be dried?",
        "no hotter than the most sensitive part on it allows",
        "just under solder melting point",
    ),
    (
        "Drying in moving warm air: about how long for an open board, and how long with area-array packages on it?",
        "half an hour to an hour, several hours if there are BGAs",
        "five minutes is plenty either way",
    ),
    (
        "Cleaned, dried, looked at again under the microscope. What comes before burn-in, and what do you hold it against?",
        "measure rail ohms and draw again and compare with the readings from before",
        "screw it together and power it for a night",
    ),
    (
        "A marine board had coating where you soldered. What has to happen before the case is closed?",
        "put the conformal coat back and renew the seal",
        "nothing, it was only a small spot",
    ),
    (
        "The board looks spotless at 40x. Is it clean enough to say so?",
        "no, you can't see ionic residue with a microscope",
        "yes, if it looks clean it is clean",
    ),
    (
        "Somebody passes a board because it stays under 1.56 µg/cm² of salt. What is wrong with that?",
        "that number is obsolete, a historic process control value, not a pass limit",
        "it should be under 1.0 to be safe",
    ),
    (
        "Looked at and photographed. What is the first electrical test, with or without power?",
        "no power yet: ohms across the inlet and main rails",
        "plug it in and see what it draws",
    ),
    (
        "The ohms look right and the board gets power for the first time. How do you set the supply?",
        "correct voltage with the current limit set low",
        "start at 1 V and wind it up until it starts",
    ),
    (
        "Power is on and nothing burns. Which reading do you note before you probe any rail?",
        "the current draw and its pattern",
        "the crystal with a scope",
    ),
    (
        "You have the pattern of the draw. Which rails next, and what line after them?",
        "always-on rails first, then the wake line",
        "core rail at the CPU",
    ),
    (
        "Going through the rails in their order, one is missing. Where do you stop, and which two of its pins do you measure?",
        "stop at that first bad rail, check its enable and feedback pin",
        "skip it and see which others are missing",
    ),
    (
        "A dead board reads 1.2 ohm from the processor's core rail to ground. Shorted?",
        "can't tell, that can be normal on core, compare with a known good board",
        "yes, dead short, look for the capacitor",
    ),
    (
        "The meter shows no draw at all. Which circuits does that point to?",
        "inlet or fuse, or the standby supply is dead",
        "the processor or its memory",
    ),
    (
        "The draw rises once to a low value and stays there. Which circuits does it point to, and how much is that worth?",
        "sequencing, clock, firmware or cpu, only a hint not proof",
        "shorted cap on the input, certain",
    ),
    (
        "At switch-on the supply goes straight into its limit and the volts collapse. What does that point to, and where do you go back to?",
        "hard short, source off and back to ohms on the rails",
        "turn the limit up till it holds",
    ),
    (
        "You write down 0.412 V from diode mode. What must stand beside the number so that it means something?",
        "which lead went where, and the known good value",
        "the brand of the meter",
    ),
    (
        "You look for a short on a rail with injected current. How many volts at most, and what else do you set?",
        "not more than the nominal voltage of that rail, with a current limit",
        "as much voltage as it takes, it's shorted anyway",
    ),
    (
        "A node near the processor is shorted and you do not know which rail it is. Inject there?",
        "no, find out which rail it is and its nominal volts first",
        "yes, 1 V should be okay",
    ),
    (
        "What must be true of source and capacitors before you trust an ohms reading?",
        "source unplugged and the caps discharged",
        "board warm and running",
    ),
    (
        "An industrial board has isolated sections. What belongs to every reading you note there?",
        "which ground I measured against",
        "the time and the bench number",
    ),
    (
        "You are past the shop's time box and the fault is still not located. What do you do?",
        "stop, write it up as no-fix and tell the lead",
        "one more hour, I nearly have it",
    ),
    (
        "Unlocated, and you close the job. Which two points on the board must the record name for whoever comes next?",
        "last good point and first bad point",
        "all the parts I swapped",
    ),
    (
        "The board is worth 60. The next step costs 20 and works one time in four. Go on?",
        "no, 60 x 1/4 is 15 and the step costs 20",
        "yes, 60 is three times 20",
    ),
    (
        "A shorted ceramic on the main 5 V pulled everything down. To which circuit does the job belong?",
        "the 5 V rail, so the DC-DC rails",
        "inlet",
    ),
    (
        "A corroded connector took out only the serial port. Which circuit do you book?",
        "bus, because only that function was lost",
        "interconnect, it was a connector",
    ),
    (
        "A corroded connector took out display, keys and audio together. Which circuit do you book?",
        "interconnect",
        "display",
    ),
    (
        "A management chip both makes and orders the rails. Its 1.8 V output was never enabled. Which circuit?",
        "sequence",
        "buck, the 1.8 V is missing",
    ),
    (
        "A management chip both makes and orders the rails. One output is enabled, and there are no volts on it. Which circuit?",
        "buck, it was told to start and gives nothing",
        "sequencing",
    ),
    (
        "A protective array on the network lines went short after a thunderstorm. Inlet, or something else?",
        "the data link, so bus",
        "inlet, surge protection is inlet",
    ),
    (
        "The fuse is open, and that is the first thing you find. What is the job booked under?",
        "whatever blew it, the fuse isn't the root cause",
        "inlet, the fuse is dead",
    ),
    (
        "The customer says dead. With a torch you can read the picture on the panel. Which circuit?",
        "backlight",
        "firmware, it does not boot",
    ),
    (
        "A mains supply ticks, and the glass of its blown fuse is sooty. Inlet, or which other circuit?",
        "the isolated side, primary switch probably shorted",
        "inlet, just a tired fuse",
    ),
    (
        "One rail is missing. Which single reading separates a dead converter from one that was never told to start?",
        "the enable pin",
        "the inductor's resistance",
    ),
    (
        "Rails normal, reset released, no activity anywhere. Which circuit do you exclude before you blame the processor?",
        "the clock, see if the crystal swings",
        "reball it",
    ),
    (
        "A drive trips on over-current at every enable. Its power stage tests good in diode mode. Which circuit next?",
        "current sensing, the shunt and its amp",
        "replace the power stage anyway",
    ),
    (
        "It runs on the adapter and drops dead on its pack. Which circuit?",
        "battery path, pass FET or connector",
        "inlet",
    ),
    (
        "What makes a closed job evidence that others can learn from?",
        "readings before and a proof after the fix",
        "a neat list of the parts fitted",
    ),
    (
        "You swapped three parts at once and it works. Which do you enter as the fix?",
        "can't tell which one, cause not proved",
        "the last one",
    ),
    (
        "A unit you repaired returns after three weeks. How does it go in the archive?",
        "new job that follows the old one, linked by its number",
        "a fresh job, no need to mention the first",
    ),
    (
        "Print says C2, the sticker says D. Which revision do you enter?",
        "both, and mark it uncertain",
        "D, stickers are newer",
    ),
    (
        "A bowl of isopropyl alcohol stands on the bench at room temperature, and nothing heats it. Why is it a fire hazard all the same?",
        "flash point is about 12 degrees so the vapour burns already at 20",
        "it isn't, it only burns above its boiling point",
    ),
    (
        "You are about to clean with alcohol. What do you see to before you open the bottle?",
        "extraction on, iron and hot air away, board unpowered",
        "that the bottle is full enough",
    ),
    (
        "The label of the ultrasonic tank says nothing on flammable solvent. A colleague wants to fill it with alcohol. What do you say?",
        "no, never in an unrated tank, use the water-based fluid",
        "fine for a minute or two",
    ),
    (
        "The board drips with alcohol and the customer waits. May the oven speed it up?",
        "no, let it evaporate first",
        "yes, at 60 degrees it dries quicker",
    ),
    (
        "A phone-sized cell on the bench has swollen. The customer is in a hurry. What do you do?",
        "stop, put it in the cell-safe box and tell the responsible person",
        "finish the job quickly before it gets worse",
    ),
    (
        "A tablet fell into the sea an hour ago and still has its cell in. What comes first, and what do you not do?",
        "cell out first, and don't switch it on to see",
        "rinse it under the tap, then try the power key",
    ),
    (
        "A lithium cell got wet last week, it is dry now and reads 3.6 V. May it go back on the charger?",
        "no, unless the maker allows it, it goes to disposal",
        "yes, 3.6 V is healthy",
    ),
    (
        "A pack reads 0.9 V a cell after a winter in a drawer. Wake it with the bench supply?",
        "no, not unless the manufacturer says so. dispose of it",
        "yes, slowly at 100 mA and watch it",
    ),
    (
        "A bulging pouch keeps the case from closing. A colleague suggests to push it flat. Your answer?",
        "no, never press it. take it out and isolate it",
        "ok but gently, with a wooden block",
    ),
    (
        "The primary side of a mains supply has to be measured and you are not qualified for it. What do you do?",
        "leave it to a qualified person",
        "measure with one hand behind my back",
    ),
    (
        "About how much energy sits in 470 µF at 325 V, and is that a danger?",
        "about 25 J, that can kill you",
        "2.5 mJ, you hardly feel it",
    ),
    (
        "Unplugged ten minutes ago, and the drawing shows a bleeder. May you touch the bulk capacitor?",
        "not until I've measured it with a rated meter, the bleeder may be open",
        "yes, ten minutes is plenty",
    ),
    (
        "470 µF, charged to 325 V, through a 220 k bleeder: about how long until 60 V are left?",
        "about 3 min",
        "less than a second",
    ),
    (
        "A bulk capacitor holds its charge. How is it emptied, and how do you know that it is?",
        "with a discharge tool, then measure that it's at zero",
        "screwdriver across the pins, you hear the bang",
    ),
    (
        "Where does the smoke from the iron have to go, and why?",
        "into the extractor at the tip, it gives you asthma",
        "blow it away from your eyes",
    ),
    (
        "You cough and wheeze after an afternoon with hot air. What do you do?",
        "stop, get fresh air and tell the lead",
        "open a window and finish the board",
    ),
    (
        "A board has just come off the preheater, and you want to turn it over. What do you wait for?",
        "till it has cooled down",
        "nothing, the solder is set",
    ),
    (
        "You work with leaded solder all day. Which habits keep it out of you?",
        "wash my hands and no food at the bench",
        "a stronger fan",
    ),
    (
        "Which two airborne levels of lead, over eight hours, does the OSHA lead standard name, and which comes first?",
        "action at 30, limit 50 micrograms",
        "400 and 500 ppm",
    ),
    (
        "Dross and solder dust lie in the tray. How do you get rid of them?",
        "wipe it up damp and put it in the closed waste tin, never blow it",
        "blow out the tray with compressed air",
    ),
    (
        "Before you take a bare board in your hand: what is on your wrist, and what was done with it today?",
        "the strap, and I tested it this morning",
        "a watch, and nothing",
    ),
    (
        "Mains-side circuits are live under an open cover. Do you wear the wrist strap there?",
        "strap off, and leave it to a qualified person",
        "on, the board is static sensitive",
    ),
    (
        "Down to which volts of human-body and charged-device sensitivity does the ESD programme standard protect parts?",
        "100 V HBM and 200 V CDM",
        "2 kV and 500 V",
    ),
    (
        "Repaired, cleaned, dried: first power-up. What do you put on, and how does the board get its power?",
        "safety glasses, and a limited supply",
        "the case, so nothing gets out",
    ),
    (
        "You have fitted a tantalum and an electrolytic. What do you check before power, and what happens if you got it wrong?",
        "polarity, otherwise it bursts or catches fire",
        "the colour, otherwise it looks odd",
    ),
    (
        "The new fuse goes at once. A colleague offers a stronger one, or a bit of wire. What do you do?",
        "neither, find out why it blows and fit the same rating",
        "the stronger one, just for the test",
    ),
    (
        "A repaired mains supply gets its first power. Who does it, and how?",
        "a qualified person, through a series lamp, behind a screen and with glasses",
        "me, straight into the wall socket, standing close to see the spark",
    ),
    (
        "The lid switch kills the power, and you need to measure with the lid open. What about the switch?",
        "leave the switch alone, follow the maker's service manual",
        "tape it down while I measure",
    ),
    (
        "In old gear an oil-filled capacitor has leaked, and a power part has a white ceramic base. How do you treat the two?",
        "leave them alone, could be PCB oil and beryllia, ask the responsible person",
        "wipe the oil with a rag and file the ceramic flat",
    ),
    (
        "A controller for the brakes of a trailer is on your bench, and you can see the cracked joint. May you mend it?",
        "no, that's for a maker-approved shop, I only note the fault",
        "yes, it is only one joint",
    ),
    (
        "Smoke rises from a board on the bench supply. What comes first?",
        "power off at once and step back",
        "look closer to see which part it is",
    ),
];

/// (beginning of the question, right answers, wrong answers).
type Further = (
    &'static str,
    &'static [&'static str],
    &'static [&'static str],
);

/// Further answers to every card, in the order of the decks.
pub(crate) const FURTHER: &[Further] = &[
    (
        "A wet board is on the bench",
        &[
            "take pics of front and back",
            "photo both sides, then microscope along the water line",
            "look first: picture of top and bottom",
        ],
        &[
            "rinse it in DI water",
            "don't take photos, clean it",
            "measure the rails",
        ],
    ),
    (
        "Why do you look at",
        &[
            "once cleaned the evidence is gone",
            "you lose the trail of residue when you wash it",
            "the residue tells where the water went and the bath removes it",
        ],
        &[
            "to count the parts",
            "so the photos look nice for the customer",
        ],
    ),
    (
        "Green residue bridges",
        &[
            "photo, local clean of those pins, write in the record it was cleaned early",
            "snap a picture then clean only that spot and log the early clean",
        ],
        &[
            "scratch it off with a knife and measure",
            "photo, then full ultrasonic bath",
        ],
    ),
    (
        "Contamination is so heavy",
        &[
            "photograph, wash whole board, dry, then measure and note readings after cleaning",
            "photos, full clean, dry it, diagnose",
        ],
        &[
            "photo it and measure more carefully",
            "clean it and power it up wet",
        ],
    ),
    (
        "A sticky film covers",
        &[
            "wash first, dry, then measure",
            "clean and dry it before measuring",
        ],
        &[
            "measure first",
            "look for a cracked joint with the meter, clean later",
        ],
    ),
    (
        "No sign of liquid",
        &[
            "leave the cleaner, check the current draw",
            "no cleaning, go electrical",
        ],
        &["photograph it and clean it", "ultrasonic"],
    ),
    (
        "Under the microscope a joint",
        &[
            "resolder it with fresh flux before the bath",
            "flux and heat first, then bath: rebuild before washing",
        ],
        &["after the bath I reflow it", "leave it"],
    ),
    (
        "One telltale spot",
        &[
            "note it in the record, keep suspecting that circuit",
            "log it, circuit stays suspect",
        ],
        &["replace the part anyway", "clean it off"],
    ),
    (
        "You are on the microscope pass",
        &[
            "green stuff, dull joints, missing caps",
            "corrosion, eaten joints, parts gone",
        ],
        &["the date codes", "scratches on the case"],
    ),
    (
        "Fresh from the sea",
        &[
            "no, salt keeps eating the copper. photos then rinse",
            "cannot wait, corrosion gets worse, take photos and clean now",
        ],
        &[
            "yes, two days make no difference",
            "put it in a bag of rice",
        ],
    ),
    (
        "The repair is done and the unit goes to cleaning",
        &[
            "unplug it and take the battery and coin cell out",
            "power off, remove cells",
        ],
        &["photograph it", "heat the bath"],
    ),
    (
        "Which things do you take off",
        &[
            "mic, speaker, battery, relays",
            "batteries, display and sensors",
        ],
        &["the screws", "the heatsink only"],
    ),
    (
        "There is coating over",
        &[
            "what coating it is",
            "find out type of coating, acrylic or silicone",
        ],
        &["whether it is dry", "the colour"],
    ),
    (
        "Which cleaner do you take to get",
        &[
            "what the flux maker recommends",
            "the cleaner from the flux manufacturers data sheet",
        ],
        &["acetone", "isopropanol always"],
    ),
    (
        "You brush and swab",
        &[
            "clean towards dirty, fresh swab every pass",
            "from clean side to dirty side, change swab each time",
        ],
        &["from dirty to clean", "in circles, one swab per board"],
    ),
    (
        "Corrosion is still there",
        &[
            "mild aqueous cleaner and brush, DI rinse",
            "water-based cleaner then deionized water",
        ],
        &["vinegar and tap water", "IPA"],
    ),
    (
        "Which fluid goes in our",
        &["water based", "aqueous cleaner, in a rated tank"],
        &["alcohol", "petrol"],
    ),
    (
        "Rinse water is left",
        &[
            "fresh IPA with a brush, ventilated, no heat",
            "isopropyl brushed on, window open, let it drain",
        ],
        &["shake it", "hairdryer"],
    ),
    (
        "The last rinse was alcohol",
        &[
            "when the alcohol is gone",
            "after it has evaporated",
            "when there is no smell of alcohol left",
        ],
        &["right away at 60 C", "when the customer calls"],
    ),
    (
        "How hot may a board",
        &[
            "as hot as the weakest part can take",
            "below the limit of the most delicate part",
        ],
        &["100 C", "until it smells"],
    ),
    (
        "Drying in moving warm air",
        &[
            "30 to 60 min open, BGA several hours",
            "an hour, hours for BGAs",
        ],
        &["two minutes", "a week"],
    ),
    (
        "Cleaned, dried, looked at",
        &[
            "check rail resistance and current against the earlier readings",
            "ohms and draw again, compare to before",
        ],
        &["paint it", "send it out"],
    ),
    (
        "A marine board had coating",
        &[
            "recoat and reseal it",
            "new coating and seal",
            "conformal coating goes back on",
        ],
        &["wipe it", "test it for an hour"],
    ),
    (
        "The board looks spotless",
        &[
            "no, ions are invisible",
            "no, you cannot see ionic contamination",
        ],
        &["yes", "yes at 40x you see everything"],
    ),
    (
        "Somebody passes a board",
        &["it's obsolete", "historic number, not a pass limit"],
        &["should be 1.55", "they used the wrong solvent"],
    ),
    (
        "Looked at and photographed",
        &[
            "without power, resistance of the input and rails",
            "unpowered, ohms to ground",
        ],
        &["with power, check 3.3 V", "scope on the clock"],
    ),
    (
        "The ohms look right",
        &[
            "nominal voltage, low current limit",
            "rated volts, limit at a few hundred mA",
        ],
        &["max current", "turn voltage up slowly, no limit"],
    ),
    (
        "Power is on and nothing burns",
        &["current draw", "how many amps it takes"],
        &["temperature of the cpu", "rail 3V3"],
    ),
    (
        "You have the pattern of the draw",
        &[
            "standby rails, then the power button line",
            "always-on 3V3 then wake",
        ],
        &["backlight and panel", "the fuse"],
    ),
    (
        "Going through the rails",
        &[
            "stop at the first one that is missing, measure enable and feedback",
            "first bad rail: enable, fb",
        ],
        &[
            "replace the regulator",
            "go on to the end, then the inductor",
        ],
    ),
    (
        "A dead board reads 1.2 ohm",
        &[
            "could be normal, check against a good board",
            "not necessarily, core rails are low, compare with known good",
        ],
        &["yes it is shorted", "inject 5 V and look"],
    ),
    (
        "The meter shows no draw",
        &[
            "inlet fuse or standby supply",
            "input protection, always on rail or the battery switch",
        ],
        &["display", "clock"],
    ),
    (
        "The draw rises once",
        &[
            "reset or clock, it's only a hint",
            "firmware, cpu, clock; not proof",
        ],
        &["inlet", "battery, definitely"],
    ),
    (
        "At switch-on the supply",
        &[
            "short, switch off and measure resistance",
            "dead short somewhere, source off, ohms",
        ],
        &["weak supply, get a bigger one", "crystal"],
    ),
    (
        "You write down 0.412",
        &[
            "polarity and the reference",
            "red lead on ground or not, and value of good board",
        ],
        &["the date", "range of the meter"],
    ),
    (
        "You look for a short on a rail",
        &[
            "rail voltage at most, limit current",
            "never above nominal, set a current limit",
        ],
        &["12 V, whatever", "5 V always"],
    ),
    (
        "A node near the processor",
        &[
            "no, first find out what rail it is",
            "don't, look up the rail first",
        ],
        &["yes, with 1 V", "sure, low current"],
    ),
    (
        "What must be true of source",
        &[
            "disconnected and caps discharged",
            "power off, capacitors empty",
        ],
        &["meter on diode mode", "nothing"],
    ),
    (
        "An industrial board has isolated",
        &["what ground", "name the ground used"],
        &["the humidity", "who took it"],
    ),
    (
        "You are past the shop's time box",
        &["stop and write no-fix", "call it and hand over to the lead"],
        &["carry on until it works", "swap the big chip"],
    ),
    (
        "Unlocated, and you close",
        &[
            "last good and first bad",
            "the last point that was good and the first bad one",
        ],
        &["the two hottest parts", "what the customer said"],
    ),
    (
        "The board is worth 60",
        &[
            "no, chance times value is 15",
            "stop, not worth it: 15 against 20",
        ],
        &["yes of course", "go on, it might work"],
    ),
    (
        "A shorted ceramic",
        &["main rail, buck", "the DC-DC rails"],
        &["core", "interconnect"],
    ),
    (
        "A corroded connector took out only",
        &["bus", "data links"],
        &["interconnect", "inlet"],
    ),
    (
        "A corroded connector took out display",
        &["interconnect", "board and joints"],
        &["display", "bus"],
    ),
    (
        "A management chip both makes and orders the rails. Its",
        &["sequence", "sequencing"],
        &["buck", "core"],
    ),
    (
        "A management chip both makes and orders the rails. One",
        &["buck", "dc-dc rails"],
        &["sequence", "standby"],
    ),
    (
        "A protective array",
        &["bus", "the ethernet link"],
        &["inlet", "interconnect"],
    ),
    (
        "The fuse is open",
        &[
            "what blew it",
            "the circuit that blew it, fuse is never the cause",
        ],
        &["the fuse", "inlet"],
    ),
    (
        "The customer says dead",
        &["display", "backlight fuse or boost, so display"],
        &["standby", "processor"],
    ),
    (
        "A mains supply ticks",
        &["isolated converter", "isolated"],
        &["inlet", "battery"],
    ),
    (
        "One rail is missing",
        &["enable pin voltage", "its enable"],
        &["feedback", "the output capacitor ESR"],
    ),
    (
        "Rails normal, reset released",
        &["clock", "crystal"],
        &["firmware", "sequence"],
    ),
    (
        "A drive trips",
        &["sensing", "current shunt"],
        &["drive", "inlet"],
    ),
    (
        "It runs on the adapter",
        &["battery", "battery charge path"],
        &["buck", "standby"],
    ),
    (
        "What makes a closed job",
        &[
            "reading before and after, proof",
            "what was measured before, and a test that proves the fix",
        ],
        &["the price", "a signature"],
    ),
    (
        "You swapped three parts",
        &[
            "don't know which, not proved",
            "cause unproven",
            "none of them, can't say which",
        ],
        &["all three are the fix", "the most expensive"],
    ),
    (
        "A unit you repaired",
        &[
            "new job linked to old",
            "enter it as following job W-12, reference the first job",
        ],
        &["edit the old one", "as a new customer"],
    ),
    (
        "Print says C2",
        &["both C2 and D, uncertain", "unsure, enter both"],
        &["D", "C2"],
    ),
    (
        "A bowl of isopropyl",
        &[
            "vapour burns at room temp, flash point 12 C",
            "flash point below room temperature",
            "the fumes can catch fire at 20 degrees",
        ],
        &["it is poisonous", "it smells"],
    ),
    (
        "You are about to clean with alcohol",
        &[
            "window open and no hot iron near",
            "ventilation, no sparks",
            "extraction on, power off the board",
        ],
        &["that nobody sees me", "a clean cloth"],
    ),
    (
        "The label of the ultrasonic",
        &[
            "no way",
            "don't, use water based cleaner",
            "not in that tank",
        ],
        &["sure, alcohol cleans best", "ok if it is cold"],
    ),
    (
        "The board drips",
        &[
            "no, wait till it has evaporated",
            "let the alcohol evaporate first then oven",
        ],
        &["yes, low heat", "heat gun is better"],
    ),
    (
        "A phone-sized cell",
        &[
            "stop, isolate it, call the lead",
            "stop work, put it in the battery safe box, inform the supervisor",
        ],
        &["poke it to let gas out", "charge it gently"],
    ),
    (
        "A tablet fell",
        &[
            "take the battery out first, don't turn it on",
            "disconnect the cell, no power",
        ],
        &["charge it", "put it in rice and power it tomorrow"],
    ),
    (
        "A lithium cell got wet",
        &[
            "no",
            "never, scrap it",
            "don't charge it unless the manufacturer says so",
        ],
        &["yes but watch it", "yes slowly"],
    ),
    (
        "A pack reads 0.9",
        &["no, recycle it", "never", "don't"],
        &["yes with 50 mA", "jump start it from a good cell"],
    ),
    (
        "A bulging pouch",
        &[
            "don't press it, isolate the cell",
            "no! take it out, safe place",
        ],
        &["ok", "squeeze it slowly"],
    ),
    (
        "The primary side of a mains",
        &["get a qualified person", "ask the electrician"],
        &["use gloves and do it", "unplug and do it quickly"],
    ),
    (
        "About how much energy",
        &["25 joules, deadly", "24.8 J and yes it can kill"],
        &["1 J, harmless", "250 J"],
    ),
    (
        "Unplugged ten minutes",
        &["no, measure first", "check it with a meter at the cap"],
        &["yes", "yes the bleeder did it"],
    ),
    (
        "470 µF, charged",
        &["175 s", "three minutes or so", "around 3 minutes"],
        &["10 s", "an hour"],
    ),
    (
        "A bulk capacitor holds",
        &[
            "discharge resistor, then check with the meter",
            "rated discharge tool and prove it with a meter",
        ],
        &["short it with a screwdriver", "wait an hour"],
    ),
    (
        "Where does the smoke",
        &[
            "extractor right at the iron, it's bad for the lungs",
            "sucked off at the tip because the fume makes you asthmatic",
        ],
        &["out of the window", "anywhere"],
    ),
    (
        "You cough and wheeze",
        &["stop, go outside", "stop working and see a doctor"],
        &["drink water and carry on", "wear a dust mask and continue"],
    ),
    (
        "A board has just come off",
        &["until it's cool", "let it cool down"],
        &["gloves", "nothing"],
    ),
    (
        "You work with leaded",
        &[
            "wash hands, don't eat at the bench",
            "no eating, wash your hands, collect dross",
        ],
        &["gloves", "open window"],
    ),
    (
        "Which two airborne",
        &["30 action, 50 PEL", "action level 30 ug/m3, PEL 50 ug/m3"],
        &["10 and 20", "50 only"],
    ),
    (
        "Dross and solder dust",
        &[
            "damp wipe, into a closed container",
            "scoop it into the marked tin, don't blow",
        ],
        &["air gun", "brush it on the floor"],
    ),
    (
        "Before you take a bare board",
        &["wrist strap, tested", "strap and I checked it today"],
        &["gloves", "nothing"],
    ),
    (
        "Mains-side circuits are live",
        &["no", "off, never on live mains", "not there"],
        &["yes", "always wear it"],
    ),
    (
        "Down to which volts",
        &["100 V HBM, 200 V CDM", "hundred? 100V and 200V"],
        &["1000 V, 500 V", "50 V"],
    ),
    (
        "Repaired, cleaned, dried",
        &[
            "glasses, bench supply with limit",
            "eye protection and current limit low",
        ],
        &["gloves", "jacket, full power"],
    ),
    (
        "You have fitted a tantalum",
        &["polarity, it explodes", "which way round, or it goes bang"],
        &["value, it drifts", "nothing"],
    ),
    (
        "The new fuse goes at once",
        &[
            "look for the short, then same rating fuse",
            "find the cause, never a bigger one",
        ],
        &["stronger one", "bridge it once"],
    ),
    (
        "A repaired mains supply gets",
        &[
            "qualified person with an isolation transformer",
            "electrician, series lamp, glasses",
        ],
        &["me, plug in", "the apprentice with a long stick"],
    ),
    (
        "The lid switch kills",
        &[
            "don't bypass it, use the maker's service mode",
            "leave it, ask a qualified person",
        ],
        &["bridge it", "hold it with a finger"],
    ),
    (
        "In old gear an oil-filled",
        &[
            "hands off, ask the responsible person",
            "don't touch, may be PCB, hazardous waste",
        ],
        &["wipe and go on", "open it and look"],
    ),
    (
        "A controller for the brakes",
        &["no, send it to the maker", "not me, licensed repair only"],
        &["yes", "yes with good solder"],
    ),
    (
        "Smoke rises",
        &["kill the power", "unplug it", "switch it off, step back"],
        &["photo", "pour water on it"],
    ),
];

/// (beginning of the question, wrong answer that uses the words of a right one).
pub(crate) const TRAPS: &[(&str, &str)] = &[
    (
        "Green residue",
        "clean the spot first, photo later, no need to write it down",
    ),
    ("A sticky film", "measure, then clean and dry"),
    ("A sticky film", "not clean first but measure, drying later"),
    ("No sign of liquid", "clean it and don't measure"),
    ("Under the microscope", "bath before reflow"),
    ("Under the microscope", "reflow after the bath"),
    ("One telltale", "not in the record, circuit isn't suspect"),
    (
        "Fresh from",
        "no corrosion expected, look at photos and clean whenever",
    ),
    ("You brush", "from dirty to clean with a fresh swab"),
    ("The last rinse", "before it has evaporated"),
    ("The last rinse", "heat it until it has evaporated"),
    ("The board looks", "yes, no ions can be seen"),
    ("Somebody passes", "it's not obsolete, it is the limit"),
    ("Looked at and", "with power on, then ohms"),
    ("The ohms look", "correct volts, high limit"),
    ("The ohms look", "correct volts, no limit"),
    (
        "A dead board",
        "not normal, compare with a good board anyway",
    ),
    (
        "At switch-on",
        "not a short, measure resistance of the cable",
    ),
    ("You look for a short", "above nominal, no limit"),
    ("You are past", "don't stop, call the customer"),
    ("Unlocated", "first good and last bad"),
    ("The fuse is open", "the fuse, it blew"),
    ("One rail is missing", "not the enable, the inductor"),
    ("What makes a closed", "no readings before, no proof after"),
    ("A unit you", "new job, no link"),
    ("Print says", "neither, no revision"),
    ("A bowl of", "it is not, flash point is above 80 C"),
    ("You are about", "window closed, hot iron ready"),
    ("A phone-sized", "don't stop, isolate it later, call nobody"),
    ("A tablet fell", "cell stays in, don't power it"),
    ("A lithium cell got", "no problem"),
    ("A lithium cell got", "yes, no reason not to"),
    ("A pack reads", "why not"),
    ("Unplugged ten", "no meter needed"),
    ("Unplugged ten", "without measuring, yes"),
    ("A bulk", "with a resistor, no need to check"),
    ("Where does", "no extraction, my lungs are fine"),
    (
        "You work with leaded",
        "wash hands before eating at the bench",
    ),
    ("Mains-side", "on, not off"),
    ("Mains-side", "yes, never take it off"),
    (
        "The lid switch",
        "no problem, the service manual shows the switch, tape it",
    ),
    ("A controller", "no need to send it to the maker, I mend it"),
    ("The new fuse", "find a fuse that is not the same rating"),
    ("Smoke rises", "don't switch it off"),
    ("About how much", "25 J, not dangerous"),
    ("A bulging", "no, keep pressing till it is safe"),
];
