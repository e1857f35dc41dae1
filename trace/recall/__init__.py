"""What to do about it: origin answers, recalls and drills, and what is sent out. Pure, except where paper is drawn."""
